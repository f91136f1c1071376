using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Tasks;
using GraftWatch.Aftercare.Trade;
using NodaTime;
using static GraftWatch.Aftercare.Explaining.DatedReasons;

namespace GraftWatch.Aftercare.Explaining;

/// <summary>Words for the conditions of the calendar that keep a kind of work from being due.</summary>
internal static class DatedConditions
{
    private const string WrongTechnique = "not for this technique";

    /// <summary>Why a kind of work is not due today.</summary>
    internal static string Why(WorkAction kind, TaskContext context)
    {
        if (context.Stage == Stage.Failed)
        {
            return kind == WorkAction.Regraft ? Closed("its days after the loss are over") : "recorded as dead";
        }

        return kind switch
        {
            WorkAction.Regraft => "it is not recorded as dead",
            WorkAction.Look or WorkAction.Water or WorkAction.Vent or WorkAction.CoverOff or WorkAction.FilmOff => OfCover(kind, context),
            WorkAction.SlitTie => Tie(context),
            WorkAction.TakeCheck => Take(context),
            WorkAction.RubOff or WorkAction.NurseOff or WorkAction.HeadBack => OfStock(kind, context),
            WorkAction.ChooseShoot or WorkAction.Stake or WorkAction.TieIn or WorkAction.Pinch or WorkAction.Feed => OfShoot(kind, context),
            _ => OfSeason(kind, context),
        };
    }

    private static string OfCover(WorkAction kind, TaskContext context) => kind switch
    {
        WorkAction.Look => context.Age > context.Number("task.look.until") ? After(context.Day(context.Number("task.look.until")))
            : context.Stage >= Stage.Run ? "the union has joined"
            : context.Age < context.Number("task.first_look.from") ? Before(context.Day(context.Number("task.first_look.from")))
            : $"the next look is on the visit day {Day(NextVisit(context))}",
        WorkAction.Water => context.Age > context.Number("task.water.until") ? After(context.Day(context.Number("task.water.until")))
            : context.Stage >= Stage.Ripen ? "the wood ripens"
            : TaskCalendar.WaterUnknown(context) is { } unknown ? "not checked, because " + unknown
            : string.Create(CultureInfo.InvariantCulture, $"the soil has given up less than {context.Number("task.water.use"):0} mm since it was wetted"),
        WorkAction.Vent => context.View.State.Cover == "none" || context.View.Case.Exposure.Covers.All(layer => layer.ShadeFrac > 0) ? "no closed cover is on it"
            : context.View.State.Vented ? "its cover is vented"
            : context.Stage < Stage.Push && !(context.View.State.Bbch >= 9) ? NotReached(Stage.Push)
            : context.Age < context.Number("task.vent.from") ? Before(context.Day(context.Number("task.vent.from")), context, "task.vent.shoot")
            : Closed(),
        WorkAction.CoverOff => context.View.State.Cover is "none" or "whitewash" ? "there is no cover to take off"
            : context.Age < context.Number("task.cover_off.from") ? Before(context.Day(context.Number("task.cover_off.from")))
            : context.View.State.ShootM is { } shoot ? Shorter(shoot, context.Number("task.cover_off.shoot"))
            : $"{NotReached(Stage.Push)}; without it not due before {Day(context.Day(context.Number("task.cover_off.latest")))}",
        _ => context.View.State.Seal != "stretch-film" && context.View.State.Tie != "stretch-film" ? "there is no stretch film on it"
            : Window(context, context.Day(context.Number("task.film.from")), context.Day(context.Number("task.film.by") + 7)),
    };

    private static string Tie(TaskContext context)
    {
        TieMaterial tie = context.Tie;
        double from = tie.SlitFromDays * context.Number("task.slit_tie.factor");
        return tie.Key == "none" ? "there is no tie on it"
            : double.IsNaN(tie.SlitByDays) ? $"{tie.Name} needs no slitting"
            : context.Age < from ? $"{Before(context.Day(Math.Ceiling(from)))} unless the union has joined or the shoot outgrows it"
            : context.View.State.Last(ObservationKind.TieSlack) is { } slack ? $"seen slack on {Day(slack.InZone(context.View.Climate.Place.Zone).Date)}"
            : Closed();
    }

    private static string Take(TaskContext context)
    {
        LocalDate giveUp = context.Day(context.Number("task.take_check.give_up"));
        return context.View.State.IsTaken ? "recorded as taken"
            : context.Stage >= Stage.Ripen ? "the shoot ripens: it has taken"
            : context.Today < context.Day(context.Number("task.take_check.from")) ? Before(context.Day(context.Number("task.take_check.from")))
            : context.View.State.Bbch is null && context.View.State.ShootM is null ? Window(context, giveUp, giveUp.PlusDays(21))
            : "buds or a shoot were recorded";
    }

    private static string OfStock(WorkAction kind, TaskContext context)
    {
        switch (kind)
        {
            case WorkAction.RubOff:
                return context.Age < (int)context.Number("task.stock_shoots.from") ? Before(context.Day((int)context.Number("task.stock_shoots.from")))
                    : context.Age > context.Number("task.stock_shoots.until") ? After(context.Day(context.Number("task.stock_shoots.until")))
                    : context.Stage == Stage.Established ? "it stands alone"
                    : !context.IsGrowing(context.Number("task.stock_shoots.growing_mean")) ? "waits for weather: the last week was too cool for stocks to grow"
                    : $"looked for every {context.View.Species.StockShootEveryDays} days, on visit days; the next is {Day(NextVisit(context))}";
            case WorkAction.NurseOff:
                return context.View.Graft.NurseBuds == 0 ? "no nurse buds were left on the stock"
                    : context.View.ShootM < context.Number("task.nurse.until_shoot") ? Shorter(context.View.ShootM, context.Number("task.nurse.until_shoot"))
                    : ShootSeason(context) ?? Closed();
            default:
                return HeadBack(context);
        }
    }

    private static string HeadBack(TaskContext context)
    {
        GraftView view = context.View;
        if (!context.Technique.KeepsTop() || context.Technique == Technique.Bridge)
        {
            return WrongTechnique;
        }

        if (!context.Technique.IsBud())
        {
            return context.SeasonYear > 0 ? "only in the first season"
                : !view.State.IsTaken && view.ShootM < context.Number("task.head_back.half_at_shoot") ? "not before it is recorded as taken or the shoot grows"
                : Closed();
        }

        bool summer = view.Year.Waits(view.Graft.Made, view.Graft.Technique, (int)context.Number("task.head_back.summer_month"));
        LocalDate from = summer ? context.MonthBegins(0, "task.head_back.month") : context.Day(context.Number("task.head_back.from"));
        return context.Today < from ? Before(from)
            : !summer && view.Stage < Stage.Knit ? NotReached(Stage.Knit)
            : Window(context, from, (summer ? from.PlusDays(35) : context.Day(context.Number("task.head_back.by"))).PlusDays(28));
    }

    private static string OfShoot(WorkAction kind, TaskContext context)
    {
        double shoot = context.View.ShootM;
        bool staked = context.View.State.Support == ShootSupport.Staked;
        return kind switch
        {
            WorkAction.ChooseShoot when context.Technique.IsBud() => WrongTechnique,
            WorkAction.ChooseShoot => ShootSeason(context) ?? Until(context, shoot, "task.choose_shoot.shoot"),
            WorkAction.Stake => staked ? "a stake stands"
                : context.Stage >= Stage.Ripen ? "the wood ripens"
                : ShootSeason(context) ?? Until(context, shoot, "task.stake.shoot"),
            WorkAction.TieIn => !staked ? "no stake stands"
                : context.Stage >= Stage.Ripen ? "the wood ripens"
                : ShootSeason(context) ?? $"the shoot has not grown {Centimetres(context.Number("task.stake.again"))} since it was tied",
            WorkAction.Pinch => context.SeasonYear != 0 ? "only in the first season"
                : context.Month > context.Number("task.pinch.until_month") ? "too late in the year"
                : context.View.ShootEstimated ? "the shoot has not been measured"
                : Until(context, shoot, "task.pinch.shoot"),
            _ => context.SeasonYear != 0 ? "only in the first season"
                : context.Month >= context.Number("task.feed.until_month") ? "too late in the year: soft growth would not ripen"
                : !context.ShootMeasured ? "the shoot has not been measured"
                : Until(context, shoot, "task.feed.shoot"),
        };
    }

    private static string OfSeason(WorkAction kind, TaskContext context) => kind switch
    {
        WorkAction.FruitOff => context.SeasonYear > 0 ? "only in the first season"
            : context.Technique.IsBud() ? "no blossom was seen, and a bud bears none in its first season"
            : context.Stage < Stage.Run ? $"no blossom was seen, and {NotReached(Stage.Run)}"
            : context.Month < context.Number("task.fruit_off.from_month") ? Before(context.MonthBegins(0, "task.fruit_off.from_month"))
            : "too late in the year",
        WorkAction.Pests => context.Stage < Stage.Push ? NotReached(Stage.Push)
            : context.Age > context.Number("task.pests.until") || context.Stage >= Stage.Established ? After(context.Day(context.Number("task.pests.until")))
            : string.Create(CultureInfo.InvariantCulture, $"looked for on one visit day in {context.Number("task.pests.weeks"):0}"),
        WorkAction.Weed => Window(context, context.Day(context.Number("task.weed.from")), context.Day(context.Number("task.weed.by"))),
        WorkAction.SlopeStub => context.Technique.IsOnStub() ? InMonth(context, 0, "task.stub.month") : WrongTechnique,
        WorkAction.Whitewash => context.Technique.IsOnStub() ? InMonth(context, 0, "task.bare_bark.month", 60) : WrongTechnique,
        WorkAction.Ripen => context.View.Species.Evergreen ? "not for evergreens" : InMonth(context, 0, "task.ripen.month"),
        WorkAction.Guard => context.SeasonYear > 1 ? "only in the first two winters" : InMonth(context, Math.Max(0, context.SeasonYear), "task.winter.month", 30),
        WorkAction.Train => InMonth(context, 1, "task.train.month", 180),
        WorkAction.UnionCheck => UnionCheck(context),
        WorkAction.StakeOff => context.View.State.Support != ShootSupport.Staked ? "no stake stands" : InMonth(context, 1, "task.stake_off.month", context.Number("task.stake_off.from")),
        WorkAction.AirLayer => context.Number("task.air_layer.offered") < 1 ? "switched off in thresholds.toml"
            : context.View.Species.Key is "fig" or "mulberry" or "citrus" or "quince" or "kiwi" ? InMonth(context, 1, "task.air_layer.month")
            : "not for this species",
        WorkAction.Release => Window(context, context.Day(context.Number("task.release.after")), context.Day(context.Number("task.release.after")).PlusDays(27)),
        _ => Closed(),
    };

    private static string UnionCheck(TaskContext context)
    {
        foreach (string key in (string[])["task.second_season.spring_month", "task.second_season.summer_month", "task.second_season.autumn_month"])
        {
            LocalDate from = context.MonthBegins(1, key);
            if (context.Today <= from.PlusDays(27))
            {
                return InMonth(context, 1, key, 200);
            }
        }

        return InMonth(context, 1, "task.second_season.autumn_month", 200);
    }

    private static string InMonth(TaskContext context, int seasonYear, string key, double age = 0)
    {
        LocalDate from = context.MonthBegins(seasonYear, key);
        return from < context.View.Graft.Made ? "its month was past when the graft was made"
            : context.Today >= from && context.Age <= age ? Before(context.Day(age + 1))
            : Window(context, from, from.PlusDays(27));
    }

    private static string Window(TaskContext context, LocalDate from, LocalDate last) =>
        context.Today < from ? Before(from) : context.Today > last ? After(last) : Closed();

    private static string? ShootSeason(TaskContext context) =>
        context.SeasonYear != 0 ? "only in the first season" : context.Month is < 3 or > 9 ? "shoots do not grow in this month" : null;

    private static string Until(TaskContext context, double shootM, string key) =>
        shootM < context.Number(key) ? Shorter(shootM, context.Number(key)) : Closed();

    private static LocalDate NextVisit(TaskContext context) => context.IsVisitDay ? context.Today.PlusDays(7) : context.NextVisit;

    private static string NotReached(Stage stage) => $"stage {TradeNames.Key(stage)} not reached";

    private static string Shorter(double shootM, double neededM) => shootM > 0
        ? $"the shoot is {Centimetres(shootM)} long and work begins at {Centimetres(neededM)}"
        : $"there is no shoot yet; work begins at {Centimetres(neededM)}";

    private static string Before(LocalDate day) => $"not due before {Day(day)}";

    private static string Before(LocalDate day, TaskContext context, string shootKey) => $"{Before(day)} unless the shoot reaches {Centimetres(context.Number(shootKey))}";

    private static string After(LocalDate day) => $"its time ended on {Day(day)}";

    private static string Closed(string why = "nothing calls for it today") => why;
}
