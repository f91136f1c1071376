using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Unions;
using NodaTime;

namespace GraftWatch.Aftercare.Explaining;

/// <summary>A round of a past day whose hours are known to the end: what it says, and what the unions then felt.</summary>
/// <remarks>
/// Exposure is counted with the very numbers and levels that the hazards are judged by, over the local day. Covers are those on
/// at the end of the day, in all its hours. Heat counts temperature alone; a level that only the day's heat dose reaches is not in it.
/// Covers laid out for one frosty night leave no trace in the observations, so frost is that of plants without them.
/// </remarks>
public sealed class FeltMorning
{
    private readonly RoundRequest request;
    private readonly RoundRun run;

    private FeltMorning(RoundRequest request)
    {
        this.request = request;
        run = new RoundRun(request);
        Round = run.Make();
    }

    /// <summary>What is said.</summary>
    public Round Round { get; }

    /// <summary>Makes the round.</summary>
    /// <param name="request">The round; its weather reaches to the end of its day.</param>
    public static FeltMorning Of(RoundRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        return new FeltMorning(request);
    }

    /// <summary>Adds up the local day.</summary>
    /// <param name="observations">What was seen and done up to the day's end.</param>
    /// <param name="levels">Levels the hours are held against; those of another file, where two are compared.</param>
    public FeltDay Felt(IReadOnlyList<Observation> observations, ThresholdSet levels)
    {
        HazardDesk desk = ReferenceEquals(levels, request.Handbook.Thresholds) ? run.Desk : new HazardDesk(request.Handbook with { Thresholds = levels });
        var tally = new Tally();
        foreach (IGrouping<PlaceClimate, GraftView> place in run.Views.GroupBy(view => view.Climate))
        {
            (int first, int last) = HoursOf(place.Key, request.Date);
            if (first < 0)
            {
                continue;
            }

            Instant end = place.Key.Place.Zone.AtStartOfDay(request.Date.PlusDays(1)).ToInstant();
            var evening = new GraftReader(request with { Now = end, Observations = observations });
            foreach (GraftView morning in place)
            {
                GraftView view = evening.Read(morning.Graft, morning.Order, place.Key);
                if (view.Stage != Stage.Failed)
                {
                    tally.Temperatures(view.Case.Hours, first, last, view.Graft.Count);
                    tally.Hazards(desk.Judge(view.Case), first, last, view.Graft.Count);
                }
            }
        }

        return tally.Result();
    }

    private static (int First, int Last) HoursOf(PlaceClimate climate, LocalDate date)
    {
        IReadOnlyList<LocalDate> dates = climate.Calendar.Dates;
        int day = dates.Count == 0 ? -1 : Period.DaysBetween(dates[0], date);
        return (Array.IndexOf(climate.Calendar.Day, day), Array.LastIndexOf(climate.Calendar.Day, day));
    }

    private sealed class Tally
    {
        private static readonly Hazard[] All = Enum.GetValues<Hazard>();
        private readonly double[,] beyond = new double[All.Length, 4];
        private double frost;
        private double unknown;
        private double warmestC = double.NaN;
        private double coldestC = double.NaN;

        internal void Temperatures(UnionHours hours, int first, int last, int unions)
        {
            for (int i = first; i <= last; i++)
            {
                double cambiumC = hours.CambiumC[i];
                if (double.IsNaN(cambiumC))
                {
                    unknown += unions;
                    continue;
                }

                frost += hours.BudC[i] < 0 ? unions : 0;
                warmestC = cambiumC <= warmestC ? warmestC : cambiumC;
                coldestC = hours.BudC[i] >= coldestC ? coldestC : hours.BudC[i];
            }
        }

        internal void Hazards(IReadOnlyList<HazardOutcome> outcomes, int first, int last, int unions)
        {
            foreach (HazardOutcome outcome in outcomes)
            {
                if (outcome.Values.Length == 0)
                {
                    Add(outcome.Hazard, outcome.Spells.Count == 0 ? Level.None : outcome.Spells.Max(spell => spell.Level), outcome.NotChecked is not null, unions);
                }
                else if (outcome.Hazard == Hazard.Drying)
                {
                    (double worst, int at) = SpellFinder.Worst(outcome.Values, first, last + 1, outcome.Direction);
                    bool missing = at < 0 || SpellFinder.Unknown(outcome.Values, first, last + 1).Count > 0;
                    Add(outcome.Hazard, outcome.Levels.Of(worst, outcome.Direction), missing, unions);
                }
                else
                {
                    for (int i = first; i <= last; i++)
                    {
                        Add(outcome.Hazard, outcome.Levels.Of(outcome.Values[i], outcome.Direction), double.IsNaN(outcome.Values[i]), unions);
                    }
                }
            }
        }

        internal FeltDay Result() => new(
            [.. All.Select(hazard => new HazardExposure(hazard, beyond[(int)hazard, 1], beyond[(int)hazard, 2], beyond[(int)hazard, 3], beyond[(int)hazard, 0]))],
            frost, unknown, warmestC, coldestC);

        private void Add(Hazard hazard, Level reached, bool missing, int unions)
        {
            beyond[(int)hazard, 0] += missing ? unions : 0;
            for (Level level = Level.Note; level <= reached && !missing; level++)
            {
                beyond[(int)hazard, (int)level] += unions;
            }
        }
    }
}
