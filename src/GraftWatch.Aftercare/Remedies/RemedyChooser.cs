using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Thresholds;

namespace GraftWatch.Aftercare.Remedies;

/// <summary>Chooses the least work that brings a hazard under its level, by computing the union again with each candidate.</summary>
internal sealed class RemedyChooser
{
    /// <summary>Covers that let less light through than this shade the union fully. [-]</summary>
    private const double DarkFrac = 0.2;

    /// <summary>Degrees below the urgent level at which a cover is no use. [K], engineering choice.</summary>
    private const double HopelessK = 2;

    /// <summary>Least gain worth a walk where the hazard stays over its level. [K], engineering choice: half a degree is lost in the forecast.</summary>
    private const double LeastGainK = 1;

    /// <summary>The same for other quantities, as a share of the act level. [-], engineering choice.</summary>
    private const double LeastGainFrac = 0.05;

    private readonly HazardDesk desk;
    private readonly RemedyBook remedies;
    private readonly Dictionary<(UnionCase, Hazard, int), RemedyChoice> known = [];

    /// <summary>Takes the desk that judges.</summary>
    internal RemedyChooser(HazardDesk desk)
    {
        this.desk = desk;
        remedies = new RemedyBook(desk.Book);
    }

    /// <summary>The best remedy against one hazard of one kind of union.</summary>
    /// <param name="union">The union.</param>
    /// <param name="outcome">The hazard as judged.</param>
    /// <param name="within">Spells count that begin within these hours.</param>
    internal RemedyChoice Choose(UnionCase union, HazardOutcome outcome, HourRange within)
    {
        if (!known.TryGetValue((union, outcome.Hazard, within.From), out RemedyChoice? choice))
        {
            choice = Try(union, outcome, within);
            known.Add((union, outcome.Hazard, within.From), choice);
        }

        return choice;
    }

    /// <summary>What a remedy chosen against another hazard does to this one.</summary>
    /// <param name="remedy">The remedy.</param>
    /// <param name="union">The union without it.</param>
    /// <param name="outcome">The hazard as judged without it.</param>
    /// <param name="within">Spells count that begin within these hours.</param>
    internal RemedyChoice Under(Remedy remedy, UnionCase union, HazardOutcome outcome, HourRange within)
    {
        HazardOutcome? after = desk.Judge(remedy.After with { Climate = union.Climate }, outcome.Hazard);
        return new RemedyChoice(
            remedy, after?.PeakIn(within) ?? double.NaN, after?.LevelIn(within) ?? Level.None, after?.Levels ?? outcome.Levels, []);
    }

    private RemedyChoice Try(UnionCase union, HazardOutcome outcome, HourRange within)
    {
        var refused = new List<RefusedRemedy>();
        List<Trial> trials = Trials(union, union, outcome, within, refused);
        Trial? best = Least(trials, outcome.Direction);
        if (best is null && trials.Count > 0)
        {
            trials.AddRange([.. trials.SelectMany(first => Second(first, union, outcome, within))]);
            best = Least(trials, outcome.Direction) ?? Worthwhile(trials, outcome, within, union);
        }

        return best is null
            ? new RemedyChoice(null, outcome.PeakIn(within), outcome.LevelIn(within), outcome.Levels, refused)
            : new RemedyChoice(best.Remedy, best.Peak, best.Level, best.Levels, refused);
    }

    private List<Trial> Trials(UnionCase before, UnionCase union, HazardOutcome outcome, HourRange within, List<RefusedRemedy> refused)
    {
        var trials = new List<Trial>();
        foreach (Remedy remedy in remedies.Candidates(union, desk.Judge(union, outcome.Hazard) ?? outcome))
        {
            if (Harm(before, remedy, outcome, within) is { } harm)
            {
                refused.Add(new RefusedRemedy(remedy, harm));
                continue;
            }

            HazardOutcome? after = desk.Judge(remedy.After, outcome.Hazard);
            trials.Add(new Trial(remedy, after?.PeakIn(within) ?? double.NaN, after?.LevelIn(within) ?? Level.None, after?.Levels ?? outcome.Levels));
        }

        return trials;
    }

    private IEnumerable<Trial> Second(Trial first, UnionCase union, HazardOutcome outcome, HourRange within)
    {
        foreach (Trial second in Trials(union, first.Remedy.After, outcome, within, []))
        {
            if (second.Remedy.Action != first.Remedy.Action || second.Remedy.Material != first.Remedy.Material)
            {
                Remedy both = first.Remedy with
                {
                    Also = second.Remedy,
                    After = second.Remedy.After,
                    Minutes = first.Remedy.Minutes + second.Remedy.Minutes,
                    Bring = [.. first.Remedy.Bring.Union(second.Remedy.Bring)],
                };
                yield return second with { Remedy = both };
            }
        }
    }

    private Hazard? Harm(UnionCase before, Remedy remedy, HazardOutcome against, HourRange within)
    {
        if (remedy.Action == WorkAction.Shade && remedy.After.LightFrac < DarkFrac && desk.Judge(before, Hazard.ColdStall) is { Spells.Count: > 0 })
        {
            return Hazard.ColdStall;
        }

        foreach (HazardOutcome after in desk.Judge(remedy.After))
        {
            Level now = desk.Judge(before, after.Hazard)?.LevelBefore(within.Before) ?? Level.None;
            Level then = after.LevelBefore(within.Before);
            // A sleeve that gusts may tug at can be taken in before the gale.
            bool tugged = after.Hazard == Hazard.Wind && after.Part == "cover";
            if (after.Hazard != against.Hazard && then >= Level.Act && then > now && !tugged)
            {
                return after.Hazard;
            }
        }

        return null;
    }

    private static Trial? Least(List<Trial> trials, LevelDirection direction) => trials
        .Where(trial => trial.Level < Level.Act)
        .OrderBy(trial => trial.Remedy.Minutes)
        .ThenBy(trial => trial.Remedy.Bring.Count)
        .ThenBy(trial => trial.Level)
        .ThenBy(trial => direction == LevelDirection.Falling ? -trial.Peak : trial.Peak)
        .ThenBy(trial => trial.Remedy.Material, StringComparer.Ordinal)
        .FirstOrDefault();

    // What does not clear the hazard may still be worth doing.
    private Trial? Worthwhile(List<Trial> trials, HazardOutcome outcome, HourRange within, UnionCase union)
    {
        double worth = desk.Thresholds.Number("advice.worth_doing", union.Subject);
        double peak = outcome.PeakIn(within);
        double excess = Math.Abs(peak - outcome.Levels.Act);
        double least = Math.Max(worth * excess, outcome.Unit == "°C" ? LeastGainK : LeastGainFrac * Math.Abs(outcome.Levels.Act));
        double Gain(Trial trial) => outcome.Direction == LevelDirection.Falling ? trial.Peak - peak : peak - trial.Peak;
        return trials
            .Where(trial => !IsHopeless(trial, outcome))
            .Where(trial => excess > 0 && Gain(trial) >= least)
            .OrderByDescending(trial => Math.Round(Gain(trial), 1))
            .ThenBy(trial => trial.Remedy.Minutes)
            .ThenBy(trial => trial.Remedy.Material, StringComparer.Ordinal)
            .FirstOrDefault();
    }

    // A frost that stays this far below the urgent level kills under any cover.
    private static bool IsHopeless(Trial trial, HazardOutcome outcome) =>
        outcome.Hazard == Hazard.Frost && trial.Peak < outcome.Levels.Urgent - HopelessK;

    private sealed record Trial(Remedy Remedy, double Peak, Level Level, Levels Levels);
}
