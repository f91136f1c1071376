using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;

namespace GraftWatch.Aftercare.Hazards;

/// <summary>Judges unions; equal cases are judged once.</summary>
internal sealed class HazardDesk
{
    private readonly Dictionary<UnionCase, IReadOnlyList<HazardOutcome>> known = [];

    /// <summary>Opens the desk.</summary>
    /// <param name="book">Species, materials and thresholds.</param>
    internal HazardDesk(Handbook book) => Book = book;

    /// <summary>Species, materials and thresholds.</summary>
    internal Handbook Book { get; }

    /// <summary>The levels and windows.</summary>
    internal ThresholdSet Thresholds => Book.Thresholds;

    /// <summary>Number of different cases judged.</summary>
    internal int Cases => known.Count;

    /// <summary>Every hazard that can meet a union like this.</summary>
    internal IReadOnlyList<HazardOutcome> Judge(UnionCase union)
    {
        if (!known.TryGetValue(union, out IReadOnlyList<HazardOutcome>? outcomes))
        {
            outcomes = union.Stage is Stage.Failed or Stage.Established ? [] : All(union);
            known.Add(union, outcomes);
        }

        return outcomes;
    }

    /// <summary>One hazard of a union; null when it cannot meet it.</summary>
    internal HazardOutcome? Judge(UnionCase union, Hazard hazard)
    {
        foreach (HazardOutcome outcome in Judge(union))
        {
            if (outcome.Hazard == hazard)
            {
                return outcome;
            }
        }

        return null;
    }

    private List<HazardOutcome> All(UnionCase union)
    {
        var outcomes = new List<HazardOutcome>(8);
        Add(outcomes, HeatCheck.Judge(union, Thresholds));
        Add(outcomes, SunCheck.Judge(union, Thresholds));
        Add(outcomes, DryingCheck.Judge(union, Thresholds));
        Add(outcomes, SapCheck.Judge(union, Thresholds));
        Add(outcomes, WindCheck.Judge(union, Thresholds));
        Add(outcomes, FrostCheck.Judge(union, Thresholds));
        Add(outcomes, WetCheck.Judge(union, Thresholds));
        Add(outcomes, ColdStallCheck.Judge(union, Thresholds));
        return outcomes;
    }

    private static void Add(List<HazardOutcome> outcomes, HazardOutcome? outcome)
    {
        if (outcome is not null)
        {
            outcomes.Add(outcome);
        }
    }
}
