using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using NodaTime;

namespace GraftWatch.Aftercare.Tasks;

/// <content>Work that follows the growth of scion and stock.</content>
internal static partial class TaskCalendar
{
    private static DatedTask? SlitTie(TaskContext context)
    {
        GraftView view = context.View;
        TieMaterial tie = context.Tie;
        bool grooved = view.State.Last(ObservationKind.TieGrooved) is { } groove && !(view.State.Last(ObservationKind.TieSlack) > groove);
        if (double.IsNaN(tie.SlitByDays) && !grooved)
        {
            return null;
        }

        double factor = context.Number("task.slit_tie.factor");
        double from = tie.SlitFromDays * factor;
        LocalDate by = context.Day(tie.SlitByDays * factor);
        bool joined = view.Stage >= Stage.Run && JoinedDaysAgo(context) >= context.Number("task.slit_tie.after_join");
        bool outgrown = view.ShootM >= view.Species.SlitAtShootM;
        bool proven = context.IsTakeSettled || (outgrown && context.ShootMeasured) || context.Today >= by;
        bool early = (joined || outgrown) && context.Age >= 0.5 * from;
        if (!(grooved || (proven && (context.Age >= from || early))))
        {
            return null;
        }

        if (view.State.Last(ObservationKind.TieSlack) is { } slack && (view.Climate.Now - slack).TotalDays < context.Number("task.slit_tie.repeat"))
        {
            return null;
        }

        LocalDate due = early || grooved ? grooved ? context.Today : LocalDate.Min(by, context.NextVisit) : by;
        bool urgent = grooved || context.Today > by.PlusDays(14);
        var task = new DatedTask
        {
            Action = WorkAction.SlitTie,
            Kind = tie.Key,
            Level = urgent ? Level.Urgent : Level.Act,
            From = context.Day(Math.Min(from, context.Age)),
            By = due,
            Why = WhySlit(context, grooved, joined, outgrown),
        };
        LocalDate? done = context.DoneOn(WorkAction.SlitTie, ObservationKind.TieOff);
        double again = context.Number("task.slit_tie.repeat");
        return done is { } day && !(grooved && day < context.Today.PlusDays(-(int)again)) ? null : task;
    }

    // What nobody has seen is said to be so by the calendar.
    private static string WhySlit(TaskContext context, bool grooved, bool joined, bool outgrown) =>
        grooved ? "You saw the tie cut into the bark: it strangles the union."
        : outgrown && context.ShootMeasured ? "The shoot is long enough that the stem thickens fast: a tie left on cuts in."
        : joined && context.IsTakeSeen ? "The graft has taken and the stem thickens: a tie left on cuts in and the graft snaps later."
        : (joined ? "By the calendar the union should have joined and the stem thickens" : "By the calendar the stem thickens now")
            + ": a tie left on cuts in and the graft snaps later." + (context.IsTakeSeen ? string.Empty : " Check first that it has taken.");

    private static double JoinedDaysAgo(TaskContext context)
    {
        GraftView view = context.View;
        Instant? joined = view.Path.Reaches(view.Clock.CountedFrom, view.Plan.Begin(Stage.Run).Likely - view.Clock.DaysThen, 1);
        return joined is { } at ? (view.Climate.Now - at).TotalDays : 0;
    }

    private static DatedTask? StockShoots(TaskContext context)
    {
        int first = (int)context.Number("task.stock_shoots.from");
        if (context.Age < first || context.Age > context.Number("task.stock_shoots.until")
            || context.Stage == Stage.Established || !context.IsGrowing(context.Number("task.stock_shoots.growing_mean")))
        {
            return null;
        }

        int every = context.View.Species.StockShootEveryDays * (context.Age > context.Number("task.stock_shoots.slower_after") ? 2 : 1);
        LocalDate last = context.DoneOn(WorkAction.RubOff, ObservationKind.StockShootsOff) ?? context.Day(first - every);
        bool nurse = context.View.Graft.NurseBuds > 0 && context.View.ShootM < context.Number("task.nurse.until_shoot");
        return IsRubbingDay(context, every) && Period.DaysBetween(last, context.Today) >= Math.Min(every, 7) - 1
            ? new DatedTask
            {
                Action = WorkAction.RubOff,
                Kind = nurse ? "nurse" : string.Empty,
                Level = Level.Act,
                From = context.Today,
                By = context.Today,
                Why = "Stock shoots stand nearer the sap and overtake the scion within weeks.",
            }
            : null;
    }

    // All grafts share the visit day; kinds that shoot fast get a second day between two visits.
    private static bool IsRubbingDay(TaskContext context, int everyDays)
    {
        int sinceVisit = (7 - Period.DaysBetween(context.Today, context.NextVisit)) % 7;
        return everyDays <= 5 ? sinceVisit is 0 or 3
            : everyDays <= 10 ? sinceVisit == 0
            : sinceVisit == 0 && context.Week % 2 == 0;
    }

    private static DatedTask? NurseBuds(TaskContext context) =>
        context.View.Graft.NurseBuds > 0 && context.View.ShootM >= context.Number("task.nurse.until_shoot") && IsShootSeason(context)
            ? context.Due(
                new DatedTask
                {
                    Action = WorkAction.NurseOff,
                    Level = Level.Act,
                    From = context.Day(0),
                    By = context.NextVisit,
                    Why = "The scion feeds the roots by itself now; taken in two visits the stock is not shocked.",
                },
                context.DoneOn(WorkAction.NurseOff))
            : null;

    private static DatedTask? HeadBack(TaskContext context)
    {
        if (!context.Technique.KeepsTop() || context.Technique == Technique.Bridge || context.View.State.Last(ObservationKind.HeadedBack) is not null)
        {
            return null;
        }

        DatedTask? task = context.Technique.IsBud() ? HeadBackBud(context) : HeadBackSide(context);
        if (task is null)
        {
            return null;
        }

        return AgainstHeadingBack(context) is { } wait
            ? task with { Action = WorkAction.Wait, Kind = "head-back:" + wait.Key, Level = Level.Note, By = context.Today, Why = wait.Sentence }
            : task;
    }

    private static (string Key, string Sentence)? AgainstHeadingBack(TaskContext context)
    {
        const double Days = 3;
        return context.LookAhead(Days).ColdestBudC < context.Number("task.head_back.frost") ? ("frost", "A hard frost lies ahead: fresh cuts and a woken bud would suffer.")
            : context.LevelAhead(Hazard.Heat, Days) >= Level.Act ? ("heat", "Heat lies ahead: the stock's top shades the union and draws up water; cut it when the spell is over.")
            : context.LevelAhead(Hazard.Drying, Days) >= Level.Urgent ? ("drying", "Very dry air lies ahead: the stock's top draws up water; cut it when the spell is over.")
            : null;
    }

    private static DatedTask? HeadBackBud(TaskContext context)
    {
        GraftView view = context.View;
        bool summer = view.Year.Waits(view.Graft.Made, view.Graft.Technique, (int)context.Number("task.head_back.summer_month"));
        LocalDate from = summer ? context.MonthBegins(0, "task.head_back.month") : context.Day(context.Number("task.head_back.from"));
        LocalDate by = summer ? from.PlusDays(35) : context.Day(context.Number("task.head_back.by"));
        bool ready = context.IsTakeSettled && (summer || view.Stage >= Stage.Knit);
        bool seen = context.IsTakeSeen;
        return ready
            ? context.Due(
                new DatedTask
                {
                    Action = WorkAction.HeadBack,
                    Kind = (summer ? "summer-bud" : view.Species.Evergreen ? "lop" : "bud") + (seen ? string.Empty : ":unseen"),
                    Level = Level.Act,
                    From = from,
                    By = seen ? by : LocalDate.Max(by, context.Today.PlusDays(1)),
                    Why = (seen ? string.Empty : "No take is recorded: where the bud is brown or shrivelled keep the stock's top and bud again. ")
                        + (summer
                        ? "The bud has slept since summer; cut off the stock above it before growth begins, and all sap goes to it."
                        : (seen ? "The bud has taken" : "By the calendar the bud should have knitted") + "; the stock's top now holds it back. Taken all at once from a gumming or bleeding kind it drowns."),
                },
                context.DoneOn(WorkAction.HeadBack))
            : null;
    }

    private static DatedTask? HeadBackSide(TaskContext context)
    {
        double half = context.Number("task.head_back.half_at_shoot");
        double all = context.Number("task.head_back.all_at_shoot");
        double shoot = context.View.ShootM;
        string kind = shoot >= all ? "side-all" : shoot >= half ? "side-half" : context.View.State.IsTaken ? "side-tip" : string.Empty;
        LocalDate? done = context.DoneOn(WorkAction.HeadBack);
        bool lately = done is { } day && Period.DaysBetween(day, context.Today) < 14;
        return kind.Length == 0 || lately || context.SeasonYear > 0
            ? null
            : new DatedTask
            {
                Action = WorkAction.HeadBack,
                Kind = kind,
                Level = Level.Act,
                From = context.Today,
                By = context.NextVisit,
                Why = "Headed back in stages the stock neither floods nor starves the scion.",
            };
    }

    // Shoots are staked and chosen while they grow, in their first season.
    private static bool IsShootSeason(TaskContext context) => context.SeasonYear == 0 && context.Month is >= 3 and <= 9;

    private static DatedTask? ChooseShoot(TaskContext context)
    {
        double shoot = context.View.ShootM;
        return IsShootSeason(context) && !context.Technique.IsBud() && shoot >= context.Number("task.choose_shoot.shoot")
            ? context.Due(
                new DatedTask
                {
                    Action = WorkAction.ChooseShoot,
                    Kind = context.Technique.IsOnStub() ? "stub" : string.Empty,
                    Level = Level.Act,
                    From = context.Day(0),
                    By = shoot >= context.Number("task.choose_shoot.by_shoot") ? context.NextVisit : context.NextVisit.PlusDays(7),
                    Why = context.Technique.IsOnStub()
                        ? "One leader makes a strong union; the shortened second scion still helps the stub to heal."
                        : "One leader makes a strong union; two of equal strength split.",
                },
                context.DoneOn(WorkAction.ChooseShoot))
            : null;
    }

    private static DatedTask? Stake(TaskContext context)
    {
        double shoot = context.View.ShootM;
        if (context.Stage >= Stage.Ripen || !IsShootSeason(context) || shoot < context.Number("task.stake.shoot"))
        {
            return null;
        }

        if (context.View.State.Support == ShootSupport.Staked)
        {
            LocalDate? tied = context.DoneOn(WorkAction.TieIn, ObservationKind.TiedIn) ?? context.DoneOn(WorkAction.Stake, ObservationKind.Staked);
            double perDay = context.Number("task.growth.per_day");
            bool grown = tied is { } day && Grown(context, day, perDay) >= context.Number("task.stake.again");
            return grown
                ? new DatedTask
                {
                    Action = WorkAction.TieIn,
                    Level = Level.Act,
                    From = context.Today,
                    By = context.NextVisit,
                    Why = "The shoot has outgrown its last tie.",
                }
                : null;
        }

        return context.Due(
            new DatedTask
            {
                Action = WorkAction.Stake,
                Level = Level.Act,
                From = context.Day(0),
                By = context.NextVisit,
                Why = "The new wood hangs on callus and a thin ring of wood: wind and birds tear it out.",
            },
            context.DoneOn(WorkAction.Stake, ObservationKind.Staked),
            openDays: 60);
    }

    private static double Grown(TaskContext context, LocalDate since, double perDayM)
    {
        Instant from = context.View.Climate.Place.Zone.AtStartOfDay(since).ToInstant();
        return from >= context.View.Climate.Now ? 0 : perDayM * context.View.Path.Between(from, context.View.Climate.Now);
    }

    private static DatedTask? Pinch(TaskContext context) =>
        context.SeasonYear == 0 && !context.View.ShootEstimated
        && context.View.ShootM >= context.Number("task.pinch.shoot") && context.Month <= context.Number("task.pinch.until_month")
            ? context.Due(
                new DatedTask
                {
                    Action = WorkAction.Pinch,
                    Level = Level.Note,
                    From = context.Day(0),
                    By = context.NextVisit,
                    Why = "A long whip is a sail; tipped it thickens and branches.",
                },
                context.DoneOn(WorkAction.Pinch))
            : null;
}
