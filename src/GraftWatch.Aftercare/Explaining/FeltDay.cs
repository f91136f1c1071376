using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;

namespace GraftWatch.Aftercare.Explaining;

/// <summary>What the unions of a round felt on its day, under the covers that were on them when its work was done: hours or days times unions.</summary>
/// <param name="Hazards">Every hazard, in the order of the enumeration.</param>
/// <param name="FrostHours">Union-hours with buds below 0 °C. [h]</param>
/// <param name="UnknownHours">Union-hours without a temperature. [h]</param>
/// <param name="WarmestC">Highest cambium temperature. [°C]; NaN when none is known.</param>
/// <param name="ColdestC">Lowest bud temperature. [°C]; NaN when none is known.</param>
public sealed record FeltDay(IReadOnlyList<HazardExposure> Hazards, double FrostHours, double UnknownHours, double WarmestC, double ColdestC)
{
    /// <summary>The exposure to one hazard.</summary>
    /// <param name="hazard">Which.</param>
    public HazardExposure Of(Hazard hazard) => Hazards[(int)hazard];
}

/// <summary>How long unions stood at or beyond each level of a hazard.</summary>
/// <param name="Hazard">Which hazard.</param>
/// <param name="Note">At or beyond note. [union-hours or union-days, see <see cref="IsByDay"/>]</param>
/// <param name="Act">At or beyond act.</param>
/// <param name="Urgent">At or beyond urgent.</param>
/// <param name="Unknown">Without a value.</param>
public sealed record HazardExposure(Hazard Hazard, double Note, double Act, double Urgent, double Unknown)
{
    /// <summary>Whether days are counted: drying is judged by a daytime mean, a cold stall by the mean of a week.</summary>
    public bool IsByDay => Hazard is Hazard.Drying or Hazard.ColdStall;

    /// <summary>At or beyond a level.</summary>
    /// <param name="level">Note, act or urgent; 0 for none.</param>
    public double At(Level level) => level switch
    {
        Level.Note => Note,
        Level.Act => Act,
        Level.Urgent => Urgent,
        _ => 0,
    };
}
