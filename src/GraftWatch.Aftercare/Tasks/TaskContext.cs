using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Tasks;

/// <summary>What the calendar looks at to decide whether a piece of dated work is due at one graft today.</summary>
internal sealed class TaskContext
{
    private readonly HazardDesk desk;
    private readonly Handbook book;
    private readonly Func<WorkAction, LocalDate?> answered;

    /// <summary>Takes a graft and the day.</summary>
    /// <param name="view">The graft.</param>
    /// <param name="today">The local day.</param>
    /// <param name="desk">Judges what would happen; holds materials and windows.</param>
    /// <param name="answered">Day on which the grower last said that a kind of dated work is done or not needed.</param>
    internal TaskContext(GraftView view, LocalDate today, HazardDesk desk, Func<WorkAction, LocalDate?> answered)
    {
        View = view;
        Today = today;
        this.desk = desk;
        book = desk.Book;
        this.answered = answered;
    }

    /// <summary>The graft.</summary>
    internal GraftView View { get; }

    /// <summary>The local day.</summary>
    internal LocalDate Today { get; }

    /// <summary>Days since grafting. [d]</summary>
    internal int Age => Period.DaysBetween(View.Graft.Made, Today);

    /// <summary>Technique.</summary>
    internal Technique Technique => View.Graft.Technique;

    /// <summary>The tie that is still on.</summary>
    internal TieMaterial Tie => book.Ties.TryGetValue(View.State.Tie, out TieMaterial? tie) ? tie : book.Ties["none"];

    /// <summary>Stage now.</summary>
    internal Stage Stage => View.Stage;

    /// <summary>Season year of today, counted from the year of first growth: 0 in the first season, 1 in the second.</summary>
    internal int SeasonYear => View.Year.North(Today).Year - View.FirstGrowth;

    /// <summary>Month of today as in the north.</summary>
    internal int Month => View.Year.Month(Today);

    /// <summary>Whether the grower has measured the shoot.</summary>
    internal bool ShootMeasured => View.State.ShootM is not null;

    /// <summary>Whether today is the day of the week for work that can wait.</summary>
    internal bool IsVisitDay => (int)Today.DayOfWeek == (int)Number("advice.visit_weekday");

    /// <summary>Number of this week, for work that comes every few weeks.</summary>
    internal int Week => Period.DaysBetween(new LocalDate(2000, 1, 3), Today) / 7;

    /// <summary>The next day for work that can wait: today or later.</summary>
    internal LocalDate NextVisit
    {
        get
        {
            int wait = ((int)Number("advice.visit_weekday") - (int)Today.DayOfWeek + 7) % 7;
            return Today.PlusDays(wait);
        }
    }

    /// <summary>How a task is said today: at its own level when it is due before or on the next visit, as a note on visit days, else not yet.</summary>
    internal Level? Said(DatedTask task)
    {
        if (task.Level == Level.Urgent || task.Action == WorkAction.Know || task.Kind.StartsWith("after-", StringComparison.Ordinal))
        {
            return task.Level;
        }

        if (IsVisitDay)
        {
            return task.By <= Today.PlusDays(7) ? task.Level : Level.Note;
        }

        if (task.Level < Level.Act)
        {
            return null;
        }

        bool cannotWait = task.By >= Today && task.By <= Today.PlusDays(1) && task.By < NextVisit;
        return cannotWait ? task.Level : null;
    }

    /// <summary>A number in force for this graft.</summary>
    internal double Number(string key) => book.Thresholds.Number(key, View.Subject);

    /// <summary>The day so many days after grafting.</summary>
    internal LocalDate Day(double days) => View.Graft.Made.PlusDays((int)Math.Round(days));

    /// <summary>First day of a northern month of a season year.</summary>
    internal LocalDate MonthBegins(int seasonYear, string key) => View.Year.Local(View.FirstGrowth + seasonYear, (int)Number(key), 1);

    /// <summary>Last day on which the work counts as done or answered; null when never.</summary>
    internal LocalDate? DoneOn(WorkAction action, ObservationKind? seen = null)
    {
        LocalDate? said = answered(action);
        LocalDate? saw = seen is { } kind && View.State.Last(kind) is { } at ? at.InZone(View.Climate.Place.Zone).Date : null;
        return said is { } a && saw is { } b ? LocalDate.Max(a, b) : said ?? saw;
    }

    /// <summary>A task when today lies in its window and it is not done; later than the window it stays open for a while.</summary>
    /// <param name="task">The task.</param>
    /// <param name="doneOn">When it was last done; null when never.</param>
    /// <param name="openDays">Days after the window for which it is still said.</param>
    internal DatedTask? Due(DatedTask task, LocalDate? doneOn, int openDays = 28) =>
        Today >= task.From && Today <= task.By.PlusDays(openDays) && !(doneOn >= task.From) ? task : null;

    /// <summary>Mean air temperature of the week before now; NaN when not known. [°C]</summary>
    internal double LastWeekMeanC()
    {
        int to = View.Climate.NowIndex;
        int from = Math.Max(0, to - (7 * 24) + 1);
        double sum = 0;
        int count = 0;
        for (int i = from; i <= to; i++)
        {
            if (!double.IsNaN(View.Climate.Sky.AirC[i]))
            {
                sum += View.Climate.Sky.AirC[i];
                count++;
            }
        }

        return count == 0 ? double.NaN : sum / count;
    }

    /// <summary>Whether trees are taken to grow: the last week was warm enough, or, where it is not known, the month says so.</summary>
    internal bool IsGrowing(double meanC)
    {
        double mean = LastWeekMeanC();
        return double.IsNaN(mean) ? Month is >= 4 and <= 9 : mean >= meanC;
    }

    /// <summary>The hazard that would ask for a cover again at once if this one came off; null when none would.</summary>
    /// <param name="days">How far ahead it is tried.</param>
    internal Hazard? AgainstUncovering(double days)
    {
        UnionCase bare = View.Case with
        {
            Cover = "none",
            CoverWet = false,
            OpenHours = null,
            Exposure = View.Case.Exposure with { Covers = [], Vented = false },
            FreshlyBared = true,
        };
        int limit = View.Climate.FirstAhead + (int)(days * 24);
        foreach (Hazard hazard in (Hazard[])[Hazard.Heat, Hazard.Sun, Hazard.Drying])
        {
            Level now = desk.Judge(View.Case, hazard)?.LevelBefore(limit) ?? Level.None;
            Level then = desk.Judge(bare, hazard)?.LevelBefore(limit) ?? Level.None;
            if (then >= Level.Act && then > now)
            {
                return hazard;
            }
        }

        return null;
    }

    /// <summary>Whether it was checked or seen that the graft has taken.</summary>
    internal bool IsTakeSeen => View.State.IsTaken || DoneOn(WorkAction.TakeCheck) is not null;

    /// <summary>Whether the take is known, or the last day of its check has gone by unanswered.</summary>
    internal bool IsTakeSettled => IsTakeSeen || Today > Day(Number("task.take_check.by"));

    /// <summary>The level of a hazard within the days ahead as the graft stands now.</summary>
    /// <param name="hazard">Which.</param>
    /// <param name="days">How far ahead. [d]</param>
    internal Level LevelAhead(Hazard hazard, double days) =>
        desk.Judge(View.Case, hazard)?.LevelBefore(View.Climate.FirstAhead + (int)(days * 24)) ?? Level.None;

    /// <summary>Extremes of the hours ahead.</summary>
    internal Ahead LookAhead(double days)
    {
        PlaceClimate climate = View.Climate;
        int from = climate.FirstAhead;
        int to = Math.Min(climate.Hours, from + (int)(days * 24));
        ReadOnlySpan<double> humidity = climate.Weather[WeatherQuantity.HumidityPct];
        var ahead = new Ahead(double.NaN, from, double.NaN, double.NaN, double.NaN, from);
        for (int i = from; i < to; i++)
        {
            double air = climate.Sky.AirC[i];
            double bud = View.Case.Hours.BudC[i];
            ahead = ahead with
            {
                WarmestC = Math.Max(Known(ahead.WarmestC, air), air),
                WarmestHour = air > Known(ahead.WarmestC, double.NegativeInfinity) ? i : ahead.WarmestHour,
                DriestPct = Math.Min(Known(ahead.DriestPct, humidity[i]), humidity[i]),
                WindiestMPerS = Math.Max(Known(ahead.WindiestMPerS, climate.Sky.WindMPerS[i]), climate.Sky.WindMPerS[i]),
                ColdestBudC = Math.Min(Known(ahead.ColdestBudC, bud), bud),
                ColdestHour = bud < Known(ahead.ColdestBudC, double.PositiveInfinity) ? i : ahead.ColdestHour,
            };
        }

        return ahead;

        static double Known(double value, double otherwise) => double.IsNaN(value) ? otherwise : value;
    }
}

/// <summary>Extremes of the hours ahead; NaN where not one hour is known.</summary>
/// <param name="WarmestC">Warmest air. [°C]</param>
/// <param name="WarmestHour">When.</param>
/// <param name="DriestPct">Lowest humidity. [%]</param>
/// <param name="WindiestMPerS">Strongest mean wind at 10 m. [m/s]</param>
/// <param name="ColdestBudC">Coldest bud. [°C]</param>
/// <param name="ColdestHour">When.</param>
internal readonly record struct Ahead(double WarmestC, int WarmestHour, double DriestPct, double WindiestMPerS, double ColdestBudC, int ColdestHour);
