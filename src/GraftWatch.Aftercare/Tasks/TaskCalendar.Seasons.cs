using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Tasks;

/// <content>Work that follows the seasons, up to the day the tree stands alone.</content>
internal static partial class TaskCalendar
{
    private static IEnumerable<DatedTask> Seasons(TaskContext context) => new[]
    {
        Weed(context),
        Feed(context),
        NoLateNitrogen(context),
        InMonth(context, WorkAction.SlopeStub, 0, "task.stub.month", Level.Note, "Sloped away from the scion and sealed, the stub sheds water and closes faster.", context.Technique.IsOnStub()),
        InMonth(context, WorkAction.Whitewash, 0, "task.bare_bark.month", Level.Note, "Bark that grew in shade burns in full sun: take remnants of foil and bags off and paint it.", context.Age > 60 && context.Technique.IsOnStub()),
        InMonth(context, WorkAction.Ripen, 0, "task.ripen.month", Level.Note, "With a little less water the shoot sets its end bud and hardens before frost.", !context.View.Species.Evergreen),
        Winter(context),
        InMonth(context, WorkAction.Train, 1, "task.train.month", Level.Note, "The cut wood kept cold and damp is the spare if the graft is lost.", context.Age > 180),
        SecondSeason(context, "task.second_season.spring_month", "at bud break"),
        SecondSeason(context, "task.second_season.summer_month", "at mid-summer"),
        SecondSeason(context, "task.second_season.autumn_month", "before leaf fall"),
        StakeOff(context),
        AirLayer(context),
        Release(context),
    }.OfType<DatedTask>();

    private static DatedTask? InMonth(TaskContext context, WorkAction action, int seasonYear, string monthKey, Level level, string why, bool applies, string kind = "")
    {
        LocalDate from = context.MonthBegins(seasonYear, monthKey);
        return applies && from >= context.View.Graft.Made
            ? context.Due(
                new DatedTask { Action = action, Kind = kind, Level = level, From = from, By = from.PlusDays(27), Why = why },
                context.DoneOn(action),
                openDays: 0)
            : null;
    }

    private static DatedTask? FruitOff(TaskContext context)
    {
        bool blossom = context.View.State.Bbch is >= 51 and <= 79 || context.View.State.Last(ObservationKind.BlossomSeen) is not null;
        bool season = context.SeasonYear == 0 && context.Month >= context.Number("task.fruit_off.from_month") && context.Month <= context.Number("task.fruit_off.until_month");
        if (!blossom && !(season && context.Stage >= Stage.Run && !context.Technique.IsBud()))
        {
            return null;
        }

        LocalDate from = blossom ? context.Day(0) : LocalDate.Max(context.MonthBegins(0, "task.fruit_off.from_month"), context.View.Graft.Made);
        return context.SeasonYear > 0
            ? null
            : context.Due(
                new DatedTask
                {
                    Action = WorkAction.FruitOff,
                    Level = blossom ? Level.Act : Level.Note,
                    From = from,
                    By = LocalDate.Max(context.Today, context.MonthBegins(0, "task.fruit_off.until_month").PlusDays(27)),
                    Why = "In the first season all sugar belongs to wood, and a fruit's weight levers the union.",
                },
                context.DoneOn(WorkAction.FruitOff),
                openDays: 0);
    }

    private static DatedTask? Pests(TaskContext context)
    {
        if (context.Stage < Stage.Push || context.Age > context.Number("task.pests.until") || context.Stage >= Stage.Established)
        {
            return null;
        }

        return context.IsVisitDay && context.Week % (int)context.Number("task.pests.weeks") == 0
            ? new DatedTask
            {
                Action = WorkAction.Pests,
                Level = Level.Note,
                From = context.Today,
                By = context.Today,
                Why = "A graft has few leaves and each one counts; ants open wax, aphids stunt, borers enter at its edge.",
            }
            : null;
    }

    private static DatedTask? Weed(TaskContext context) => context.Due(
        new DatedTask
        {
            Action = WorkAction.Weed,
            Level = Level.Note,
            From = context.Day(context.Number("task.weed.from")),
            By = context.Day(context.Number("task.weed.by")),
            Why = "Weeds take the water a young graft needs; mulch that touches the stem hides voles.",
        },
        context.DoneOn(WorkAction.Weed),
        openDays: 0);

    private static DatedTask? Feed(TaskContext context) =>
        context.SeasonYear == 0 && context.ShootMeasured && context.View.ShootM >= context.Number("task.feed.shoot") && context.Month < context.Number("task.feed.until_month")
            ? context.Due(
                new DatedTask
                {
                    Action = WorkAction.Feed,
                    Level = Level.Note,
                    From = context.Day(0),
                    By = context.Today.PlusDays(14),
                    Why = "A light feed helps once the shoot runs; earlier it only feeds weeds.",
                },
                context.DoneOn(WorkAction.Feed),
                openDays: 0)
            : null;

    private static DatedTask? NoLateNitrogen(TaskContext context)
    {
        LocalDate from = context.MonthBegins(0, "task.feed.until_month").PlusDays(14);
        return from > context.View.Graft.Made && !context.View.Species.Evergreen
            ? context.Due(
                new DatedTask
                {
                    Action = WorkAction.Know,
                    Kind = "no-nitrogen",
                    Level = Level.Note,
                    From = from,
                    By = from.PlusDays(1),
                    Why = "Soft late growth does not ripen and dies in the first frosts.",
                },
                null,
                openDays: 0)
            : null;
    }

    private static DatedTask? Winter(TaskContext context)
    {
        bool mound = !context.View.Species.HardyDormant && context.View.Graft.HeightM < context.Number("task.winter.mound_below");
        if (context.SeasonYear == 1 && mound)
        {
            DatedTask? off = InMonth(
                context, WorkAction.Guard, 1, "task.winter.off_month", Level.Note, "Soil left against a union roots the scion or rots it.", true, "mound-off");
            if (off is not null)
            {
                return off;
            }
        }

        return context.SeasonYear <= 1
            ? InMonth(
                context, WorkAction.Guard, context.SeasonYear, "task.winter.month", Level.Note,
                "Winter sun thaws the south-west side and frost kills it again; voles and rabbits do the rest.", context.Age > 30, mound ? "mound" : "guard")
            : null;
    }

    private static DatedTask? SecondSeason(TaskContext context, string monthKey, string when) => InMonth(
        context, WorkAction.UnionCheck, 1, monthKey, Level.Note,
        "Marked bulge, dieback, early leaf fall or many suckers mean that stock and scion do not suit each other, or that a tie hides in the bark.",
        context.Age > 200, when);

    private static DatedTask? StakeOff(TaskContext context) =>
        context.View.State.Support != ShootSupport.Staked ? null
        : InMonth(
            context, WorkAction.StakeOff, 1, "task.stake_off.month", Level.Note,
            "A trunk thickens when it may sway. Trees on brittle dwarf stocks keep their stake for life.", context.Age >= context.Number("task.stake_off.from"));

    private static DatedTask? AirLayer(TaskContext context) => InMonth(
        context, WorkAction.AirLayer, 1, "task.air_layer.month", Level.Note,
        "A copy on its own roots survives a winter that kills the graft.", context.Number("task.air_layer.offered") >= 1 && context.View.Species.Key is "fig" or "mulberry" or "citrus" or "quince" or "kiwi");

    private static DatedTask? Release(TaskContext context)
    {
        LocalDate from = context.Day(context.Number("task.release.after"));
        return context.Due(
            new DatedTask
            {
                Action = WorkAction.Release,
                Level = Level.Note,
                From = from,
                By = from.PlusDays(27),
                Why = "Two winters have passed and the union carries the tree.",
            },
            context.DoneOn(WorkAction.Release),
            openDays: 0);
    }

    private static DatedTask? Regraft(TaskContext context)
    {
        if (context.View.State.Last(ObservationKind.Dead) is not { } dead)
        {
            return null;
        }

        LocalDate told = dead.InZone(context.View.Climate.Place.Zone).Date;
        int month = context.Month;
        string kind = month <= context.Number("task.regraft.wood_until_month") && month >= 3 ? "wood"
            : month >= context.Number("task.regraft.bud_from_month") && month <= context.Number("task.regraft.bud_until_month") ? "bud"
            : "spring";
        return context.Due(
            new DatedTask
            {
                Action = WorkAction.Regraft,
                Kind = kind,
                Level = Level.Note,
                From = told,
                By = told.PlusDays(10),
                Why = kind switch
                {
                    "wood" => "While the bark slips, stored dormant wood still takes; look for the cause first: dry, drowned, cooked, frosted or strangled.",
                    "bud" => "Leave one to three of the stock's best shoots and bud them now; look for the cause first.",
                    _ => "Leave one to three of the stock's best shoots for the next spring; look for the cause first.",
                },
            },
            context.DoneOn(WorkAction.Regraft),
            openDays: 0);
    }
}
