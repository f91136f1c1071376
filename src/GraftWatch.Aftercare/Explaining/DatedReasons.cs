using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Tasks;
using GraftWatch.Aftercare.Trade;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Aftercare.Explaining;

/// <summary>Why each kind of dated work is not said of one graft on one day.</summary>
/// <remarks>The calendar decides; this only words what it looked at. A kind whose task the calendar holds is worded from that task.</remarks>
internal static class DatedReasons
{
    /// <summary>Kinds of work the calendar knows.</summary>
    internal static readonly WorkAction[] Kinds =
    [
        WorkAction.Look, WorkAction.Water, WorkAction.Vent, WorkAction.CoverOff, WorkAction.FilmOff, WorkAction.SlitTie, WorkAction.TakeCheck,
        WorkAction.RubOff, WorkAction.NurseOff, WorkAction.HeadBack, WorkAction.ChooseShoot, WorkAction.Stake, WorkAction.TieIn, WorkAction.Pinch,
        WorkAction.FruitOff, WorkAction.Pests, WorkAction.Weed, WorkAction.Feed, WorkAction.SlopeStub, WorkAction.Whitewash, WorkAction.Ripen,
        WorkAction.Guard, WorkAction.Train, WorkAction.UnionCheck, WorkAction.StakeOff, WorkAction.AirLayer, WorkAction.Release, WorkAction.Regraft,
    ];

    /// <summary>Every kind of dated work that the round neither says nor holds back by the ledger.</summary>
    /// <param name="view">The graft.</param>
    /// <param name="request">The round.</param>
    /// <param name="spoken">Kinds that stand in the round, or were held back and are explained elsewhere.</param>
    internal static IReadOnlyList<NotDueWork> Of(GraftView view, RoundRequest request, IReadOnlySet<WorkAction> spoken)
    {
        var said = new SaidRules(request.Said, request.Date, request.Handbook.Thresholds);
        var context = new TaskContext(view, request.Date, new HazardDesk(request.Handbook), action => said.Answered(view.Graft.Label, action));
        List<DatedTask> due = TaskCalendar.Due(context);
        return
        [
            .. Kinds.Where(kind => !spoken.Contains(kind))
                .Select(kind => new NotDueWork(kind, Held(kind, due, context) ?? Answered(kind, request, context) ?? DatedConditions.Why(kind, context))),
        ];
    }

    private static string? Held(WorkAction kind, List<DatedTask> due, TaskContext context)
    {
        if (due.FirstOrDefault(task => task.Action == kind) is { } task)
        {
            LocalDate visit = context.IsVisitDay ? context.Today.PlusDays(7) : context.NextVisit;
            return task.By < context.Today ? $"was due by {Day(task.By)}; said again on the visit day {Day(visit)}"
                : task.Level >= Thresholds.Level.Act && task.By < visit ? $"due by {Day(task.By)}; said on the day before"
                : $"due by {Day(task.By)}; said on the visit day {Day(visit)}";
        }

        return due.FirstOrDefault(task => task.Action == WorkAction.Wait && task.Kind.StartsWith(kind.Key() + ":", StringComparison.Ordinal)) is { } wait
            ? $"waits for weather: {wait.Why}"
            : null;
    }

    private static string? Answered(WorkAction kind, RoundRequest request, TaskContext context)
    {
        SaidBefore? before = request.Said.LastOrDefault(entry => entry.Action == kind && entry.Hazard is null && entry.Graft == context.View.Graft.Label);
        if (before is { State: SaidState.PutOff, Until: { } until } && until > request.Date)
        {
            return $"put off until {Day(until)}";
        }

        ObservationKind? seen = kind switch
        {
            WorkAction.Vent => ObservationKind.CoverVented,
            WorkAction.CoverOff => ObservationKind.CoverOff,
            WorkAction.SlitTie => ObservationKind.TieOff,
            WorkAction.RubOff => ObservationKind.StockShootsOff,
            WorkAction.HeadBack => ObservationKind.HeadedBack,
            WorkAction.Stake => ObservationKind.Staked,
            WorkAction.TieIn => ObservationKind.TiedIn,
            WorkAction.Water => ObservationKind.Watered,
            _ => null,
        };
        if (context.DoneOn(kind, seen) is not { } done)
        {
            return null;
        }

        bool comesAgain = kind is WorkAction.Look or WorkAction.Water or WorkAction.RubOff or WorkAction.TieIn or WorkAction.Pests;
        return comesAgain ? $"last done on {Day(done)}; {DatedConditions.Why(kind, context)}" : $"done, or not needed, on {Day(done)}";
    }

    /// <summary>A day as text.</summary>
    internal static string Day(LocalDate day) => LocalDatePattern.Iso.Format(day);

    /// <summary>A length as text.</summary>
    internal static string Centimetres(double lengthM) => string.Create(CultureInfo.InvariantCulture, $"{100 * lengthM:0} cm");
}

/// <summary>Dated work that is not due.</summary>
/// <param name="Action">Which kind.</param>
/// <param name="Why">The reason; a clause without a stop.</param>
public sealed record NotDueWork(WorkAction Action, string Why);
