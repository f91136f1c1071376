using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>The next days at the union that is worst off, for the letter's picture.</summary>
public sealed record UnionOutlook
{
    /// <summary>Label of the graft.</summary>
    public required string Graft { get; init; }

    /// <summary>Place it stands at; gives the zone of the days.</summary>
    public required string Place { get; init; }

    /// <summary>Ends of the hours, one after the other.</summary>
    public required IReadOnlyList<Instant> At { get; init; }

    /// <summary>Cambium temperature if nothing is done, one an hour. [°C]; NaN where not computable.</summary>
    public required IReadOnlyList<double> WithoutC { get; init; }

    /// <summary>The same with the remedy of the round; empty when there is none. [°C]</summary>
    public IReadOnlyList<double> WithC { get; init; } = [];

    /// <summary>The remedy in words, such as "padded paper"; empty when there is none.</summary>
    public string Remedy { get; init; } = string.Empty;

    /// <summary>Level above which it is too warm. [°C]; NaN when there is none.</summary>
    public double HeatLevelC { get; init; } = double.NaN;

    /// <summary>Hours with frost on tissue or with gusts over their level.</summary>
    public IReadOnlyList<OutlookMark> Marks { get; init; } = [];
}

/// <summary>An hour that another hazard marks.</summary>
/// <param name="At">End of the hour.</param>
/// <param name="Hazard">Frost or wind.</param>
public sealed record OutlookMark(Instant At, Hazard Hazard);
