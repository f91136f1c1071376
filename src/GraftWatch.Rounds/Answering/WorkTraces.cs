using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using NodaTime;

namespace GraftWatch.Rounds.Answering;

/// <summary>What work that was done leaves at a union: the observations that say how it stands now.</summary>
/// <param name="handbook">Names of covers, and what each work brings.</param>
public sealed class WorkTraces(Handbook handbook)
{
    /// <summary>The observations of one graft, in their order: a cover that is put on is closed, and the line may vent it.</summary>
    /// <param name="advice">The work that was done.</param>
    /// <param name="graft">Label.</param>
    /// <param name="at">When.</param>
    public IEnumerable<Observation> Of(Advice advice, string graft, Instant at)
    {
        ArgumentNullException.ThrowIfNull(advice);
        if (CoverPutOn(advice) is { } cover)
        {
            yield return new Observation(graft, at, ObservationKind.CoverOn, Words: cover);
        }

        if (KindOf(advice.Action) is { } kind)
        {
            yield return new Observation(graft, at, kind);
        }

        if (advice.Action != WorkAction.Reseal && advice.Hazard is not null && BringsFor(WorkAction.Reseal, advice))
        {
            yield return new Observation(graft, at, ObservationKind.Resealed);
        }
    }

    /// <summary>Whether a line asks for work at all.</summary>
    public static bool IsWork(WorkAction action) => action is not (WorkAction.Know or WorkAction.Wait);

    // Work on the film slits or renews it: neither cover, tie nor seal is another afterwards.
    private static ObservationKind? KindOf(WorkAction action) => action switch
    {
        WorkAction.Vent => ObservationKind.CoverVented,
        WorkAction.CloseCover => ObservationKind.CoverClosed,
        WorkAction.CoverOff => ObservationKind.CoverOff,
        WorkAction.SlitTie or WorkAction.TieOff => ObservationKind.TieOff,
        WorkAction.Stake => ObservationKind.Staked,
        WorkAction.TieIn => ObservationKind.TiedIn,
        WorkAction.RubOff => ObservationKind.StockShootsOff,
        WorkAction.HeadBack => ObservationKind.HeadedBack,
        WorkAction.Reseal => ObservationKind.Resealed,
        WorkAction.Water => ObservationKind.Watered,
        WorkAction.Relieve => ObservationKind.Relieved,
        _ => null,
    };

    // A line against a hazard brings the cover that stays on, by its name and perhaps a number before it; of two, the second lies outside. A cover against frost is there for the night only.
    private string? CoverPutOn(Advice advice)
    {
        if (advice.Hazard is null || advice.Action is WorkAction.FrostCover or WorkAction.FrostCoverOff)
        {
            return null;
        }

        return advice.Materials
            .Select(thing => handbook.Covers.Values.FirstOrDefault(cover =>
                cover.Layers.Count > 0 && cover.FrostGainK <= 0 && (thing == cover.Name || thing.EndsWith("× " + cover.Name, StringComparison.Ordinal))))
            .LastOrDefault(cover => cover is not null)?.Key;
    }

    private bool BringsFor(WorkAction action, Advice advice) =>
        handbook.Work.TryGetValue(action.Key(), out WorkNeed? need) && need.Bring.Count > 0 && need.Bring.All(advice.Materials.Contains);
}
