using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Risk;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>Weighs a hazard over the whole paths of an ensemble: how many members reach each level, never hour by hour.</summary>
/// <remarks>k of n members give (k + 2/3) / (n + 4/3), the plotting position of [Wilks2011]: never certain, never impossible.</remarks>
internal sealed class EnsembleWeigher
{
    private readonly HazardDesk desk;
    private readonly Dictionary<string, PlaceClimate[]> members = new(StringComparer.Ordinal);
    private readonly Dictionary<(UnionCase, Hazard), Weighed> known = [];

    /// <summary>Lays out the members of each place; members on another grid of hours are left out.</summary>
    internal EnsembleWeigher(HazardDesk desk, IReadOnlyList<PlaceWeather> places, Instant now)
    {
        this.desk = desk;
        foreach (PlaceWeather place in places)
        {
            if (place.Weather is { } control && place.Members.Count > 0)
            {
                members[place.Place.Name] = [.. place.Members
                    .Where(member => member.Hours == control.Hours && member.FirstHourEnd == control.FirstHourEnd)
                    .Select((HourlyWeather member) => new PlaceClimate(place.Place, member, now))];
            }
        }
    }

    /// <summary>Whether a place has members.</summary>
    internal bool Has(string place) => members.TryGetValue(place, out PlaceClimate[]? own) && own.Length > 1;

    /// <summary>Weighs one hazard.</summary>
    /// <param name="union">The union under the single run.</param>
    /// <param name="outcome">How the single run judged it.</param>
    /// <param name="beforeHour">Spells from this hour on do not count.</param>
    internal Weighed Weigh(UnionCase union, HazardOutcome outcome, int beforeHour)
    {
        if (!known.TryGetValue((union, outcome.Hazard), out Weighed? weighed))
        {
            weighed = Count(union, outcome, beforeHour);
            known.Add((union, outcome.Hazard), weighed);
        }

        return weighed;
    }

    private Weighed Count(UnionCase union, HazardOutcome outcome, int beforeHour)
    {
        var runs = new List<(UnionCase Case, HazardOutcome Outcome, Level Level)>();
        foreach (PlaceClimate climate in members[union.Climate.Place.Name])
        {
            UnionCase there = union with { Climate = climate };
            if (desk.Judge(there, outcome.Hazard) is { NotChecked: null } judged)
            {
                runs.Add((there, judged, judged.LevelBefore(beforeHour)));
            }
        }

        double Probability(Level level) => EventProbability.OfCount(runs.Count(run => run.Level >= level), runs.Count);
        double least = desk.Thresholds.Number("advice.least_probability", union.Subject);
        double leastNote = desk.Thresholds.Number("advice.least_note_probability", union.Subject);
        Level level = runs.Count < 2 ? outcome.LevelBefore(beforeHour)
            : Probability(Level.Urgent) >= least ? Level.Urgent
            : Probability(Level.Act) >= least ? Level.Act
            : Probability(Level.Note) >= leastNote ? Level.Note
            : Level.None;
        if (runs.Count < 2 || level == Level.None)
        {
            return new Weighed(level, union, outcome, null);
        }

        // The numbers of the sentence come from one whole path: the single run where it agrees, else the middle one of those that do.
        double probability = Probability(level);
        if (outcome.LevelBefore(beforeHour) == level)
        {
            return new Weighed(level, union, outcome, probability);
        }

        (UnionCase Case, HazardOutcome Outcome, Level Level)[] agreeing =
        [
            .. runs.Where(run => run.Level >= level)
                .OrderBy(run => outcome.Direction == LevelDirection.Falling ? -run.Outcome.PeakBefore(beforeHour) : run.Outcome.PeakBefore(beforeHour)),
        ];
        (UnionCase scene, HazardOutcome judgedThere, _) = agreeing[(agreeing.Length - 1) / 2];
        return new Weighed(level, scene, judgedThere, probability);
    }
}

/// <summary>A hazard weighed over an ensemble.</summary>
/// <param name="Highest">The highest level with enough members behind it.</param>
/// <param name="Union">The union under the path whose numbers are told.</param>
/// <param name="Outcome">The hazard on that path.</param>
/// <param name="Probability">Probability of that level; null where there were no members to count.</param>
internal sealed record Weighed(Level Highest, UnionCase Union, HazardOutcome Outcome, double? Probability);
