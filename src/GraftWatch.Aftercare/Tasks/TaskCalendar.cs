using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Tasks;

/// <summary>The dated work of a graft from the first look to the day it stands alone.</summary>
/// <remarks>Windows come from stage and shoot first, with the calendar of thresholds.toml as the outer bound; each number stands there with its source.</remarks>
internal static partial class TaskCalendar
{
    /// <summary>The work due at one graft today.</summary>
    internal static List<DatedTask> Due(TaskContext context)
    {
        var due = new List<DatedTask>();
        if (context.Stage == Stage.Failed)
        {
            Add(due, Regraft(context));
            return due;
        }

        Add(due, Looks(context) ?? LookAfter(context));
        Add(due, Water(context));
        Add(due, Vent(context));
        Add(due, CoverOff(context));
        Add(due, Film(context));
        Add(due, SlitTie(context));
        Add(due, TakeCheck(context));
        Add(due, StockShoots(context));
        Add(due, NurseBuds(context));
        Add(due, HeadBack(context));
        Add(due, ChooseShoot(context));
        Add(due, Stake(context));
        Add(due, Pinch(context));
        Add(due, FruitOff(context));
        Add(due, Pests(context));
        due.AddRange(Seasons(context));
        return due;
    }

    private static void Add(List<DatedTask> due, DatedTask? task)
    {
        if (task is not null)
        {
            due.Add(task);
        }
    }

    private static DatedTask? Looks(TaskContext context)
    {
        DatedTask? first = context.Due(
            new DatedTask
            {
                Action = WorkAction.Look,
                Kind = "first",
                Level = Level.Act,
                From = context.Day(context.Number("task.first_look.from")),
                By = context.Day(context.Number("task.first_look.by")),
                Why = "Wax cracks, tape slips and bags heat in the first days, when the cut faces have nothing else against drying.",
            },
            context.DoneOn(WorkAction.Look),
            openDays: 2);
        if (first is not null || context.Age > context.Number("task.look.until") || context.Stage >= Stage.Run)
        {
            return first;
        }

        return context.IsVisitDay && context.Age > context.Number("task.first_look.by") && context.DoneOn(WorkAction.Look) != context.Today
            ? new DatedTask
            {
                Action = WorkAction.Look,
                Kind = "weekly",
                Level = Level.Note,
                From = context.Today,
                By = context.Today,
                Why = "A crack in the seal or a slipped tape is mended in a minute and costs the graft if it is not seen.",
            }
            : null;
    }

    private static DatedTask? Vent(TaskContext context)
    {
        bool closed = context.View.State.Cover != "none" && !context.View.State.Vented
            && context.View.Case.Exposure.Covers.Any(layer => layer.ShadeFrac <= 0);
        bool pushing = context.Stage >= Stage.Push || context.View.State.Bbch >= 9;
        bool grown = context.View.ShootM >= context.Number("task.vent.shoot");
        bool late = context.Age >= context.Number("task.vent.by");
        if (!closed || !(pushing && (grown || late || context.Age >= context.Number("task.vent.from"))))
        {
            return null;
        }

        return context.Due(
            new DatedTask
            {
                Action = WorkAction.Vent,
                Level = Level.Act,
                From = context.Day(0),
                By = LocalDate.Min(context.NextVisit, context.Today.PlusDays(2)),
                Why = "New leaves steam and rot in a closed cover; a small hole on the shady side lets them harden.",
            },
            context.DoneOn(WorkAction.Vent, ObservationKind.CoverVented));
    }

    private static DatedTask? CoverOff(TaskContext context)
    {
        GraftState state = context.View.State;
        bool ready = state.ShootM is { } shoot
            ? shoot >= context.Number("task.cover_off.shoot")
            : context.Stage >= Stage.Push;
        double latest = context.Number("task.cover_off.latest");
        if (state.Cover is "none" or "whitewash" || context.Age < context.Number("task.cover_off.from") || !(ready || context.Age >= latest))
        {
            return null;
        }

        var task = new DatedTask
        {
            Action = WorkAction.CoverOff,
            Level = Level.Act,
            From = context.Day(context.Number("task.cover_off.from")),
            By = context.Today > context.Day(context.Number("task.cover_off.by") + 7)
                ? context.Today
                : LocalDate.Max(context.Day(context.Number("task.cover_off.by")), context.NextVisit),
            Why = "Leaves that grew in shade burn when they meet full sun at once; taken off in steps they harden within a week.",
        };
        if (context.Due(task, context.DoneOn(WorkAction.CoverOff, ObservationKind.CoverOff), openDays: 365) is null)
        {
            return null;
        }

        return WeatherAgainst(context) is { } wait
            ? task with { Action = WorkAction.Wait, Kind = "cover-off:" + wait.Key, Level = Level.Note, By = context.Today, Why = wait.Sentence }
            : task;
    }

    private static (string Key, string Sentence)? WeatherAgainst(TaskContext context)
    {
        double days = context.Number("task.cover_off.look_ahead");
        if (context.AgainstUncovering(days) is { } hazard)
        {
            return (hazard.ToString(), hazard switch
            {
                Hazard.Heat => "Bared now, the union would overheat within days.",
                Hazard.Sun => "Bared now, bark and leaves would burn within days.",
                _ => "Bared now, the graft would dry within days.",
            });
        }

        Ahead ahead = context.LookAhead(days);
        return ahead.WarmestC > context.Number("task.cover_off.wait_air") ? ("hot", "A hot day lies ahead: fresh leaves would burn.")
            : ahead.DriestPct < 100 * context.Number("task.cover_off.wait_humidity") ? ("dry", "Very dry air lies ahead: fresh leaves would wilt.")
            : ahead.WindiestMPerS > context.Number("task.cover_off.wait_wind") ? ("wind", "Strong wind lies ahead: soft leaves would tear.")
            : ahead.ColdestBudC < context.Number("task.cover_off.wait_frost") ? ("frost", "A frost night lies ahead: the cover is worth a little warmth.")
            : null;
    }

    private static DatedTask? Film(TaskContext context)
    {
        GraftState state = context.View.State;
        if (state.Seal != "stretch-film" && state.Tie != "stretch-film")
        {
            return null;
        }

        return context.Due(
            new DatedTask
            {
                Action = WorkAction.FilmOff,
                Level = Level.Act,
                From = context.Day(context.Number("task.film.from")),
                By = context.Day(context.Number("task.film.by")),
                Why = "Film in one layer is pierced by the bud; two layers hold it back, and strong sun cracks it in days.",
            },
            context.DoneOn(WorkAction.FilmOff),
            openDays: 7);
    }

    private static DatedTask? TakeCheck(TaskContext context)
    {
        if (context.View.State.IsTaken || context.Stage >= Stage.Ripen)
        {
            return null;
        }

        DatedTask? early = context.Due(
            new DatedTask
            {
                Action = WorkAction.TakeCheck,
                Kind = context.Technique.IsBud() ? "bud" : "scion",
                Level = Level.Act,
                From = context.Day(context.Number("task.take_check.from")),
                By = context.Day(context.Number("task.take_check.by")),
                Why = context.Technique.IsBud()
                    ? "A bud that has taken drops its stub at a touch and stays green; one that failed can be set again while the bark slips."
                    : "Leaves are not proof: a scion can open its buds on its own reserves. Taken means it still grows after its first leaves.",
            },
            context.DoneOn(WorkAction.TakeCheck),
            openDays: 7);
        return early ?? LastTakeCheck(context);
    }

    private static DatedTask? LastTakeCheck(TaskContext context)
    {
        LocalDate giveUp = context.Day(context.Number("task.take_check.give_up"));
        bool nothingSeen = context.View.State.Bbch is null && context.View.State.ShootM is null;
        return nothingSeen
            ? context.Due(
                new DatedTask
                {
                    Action = WorkAction.TakeCheck,
                    Kind = "last",
                    Level = Level.Act,
                    From = giveUp,
                    By = giveUp.PlusDays(7),
                    Why = "Nothing has been recorded of it. Brown under a scratch means dead: record it, and you are told when to graft again.",
                },
                context.DoneOn(WorkAction.TakeCheck),
                openDays: 14)
            : null;
    }
}
