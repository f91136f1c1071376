using System.Globalization;
using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>Gathers work at single grafts into few lines: by place, action, hazard, material and day.</summary>
internal sealed class AdviceBoard
{
    private readonly Handbook book;
    private readonly UnitSystem units;
    private readonly LocalDate today;
    private readonly IReadOnlySet<(WorkAction, Hazard?, string)> told;
    private readonly Dictionary<(string, WorkAction, string), WorkItem> perGraft = [];

    /// <summary>Opens the board.</summary>
    internal AdviceBoard(Handbook book, UnitSystem units, LocalDate today, IReadOnlySet<(WorkAction, Hazard?, string)> told)
    {
        this.told = told;
        this.book = book;
        this.units = units;
        this.today = today;
    }

    /// <summary>Adds work at one graft; of two pieces of the same work the more pressing one stands, and a hazard before a date.</summary>
    internal void Add(WorkItem item)
    {
        string apart = item.Action is WorkAction.Know or WorkAction.Wait or WorkAction.Look ? $"{item.Hazard}{item.Kind}" : string.Empty;
        (string, WorkAction, string) key = (item.View.Graft.Label, item.Action, apart);
        if (!perGraft.TryGetValue(key, out WorkItem? known) || Outranks(item, known))
        {
            perGraft[key] = Keeping(item, known);
        }
        else
        {
            perGraft[key] = Keeping(known, item);
        }
    }

    // Another hazard that asks for the same work is named with it.
    private static WorkItem Keeping(WorkItem item, WorkItem? other) =>
        other is not { Hazard: not null } || item.Hazard is null || other.Hazard == item.Hazard || other.Level < Level.Act
            ? item
            : item with { AlsoFor = [.. item.AlsoFor, other, .. other.AlsoFor] };

    /// <summary>The lines, most pressing first: by level, then do-by hour, then walking order.</summary>
    internal IReadOnlyList<Advice> Lines() => [.. perGraft.Values
        .GroupBy(item => (
            item.View.Graft.Place, item.Action, item.Hazard, Apart(item), Window(item), item.Level, item.Task?.Why, item.Choice is null))
        .Select(group => group.ToLookup(IsTold))
        .Where(group => group.Contains(false))
        .Select(group => Line([.. group[false].OrderBy(item => item.View.Order)], group[true].Sum(item => item.View.Graft.Count)))
        .OrderByDescending(line => line.Advice.Level)
        .ThenBy(line => line.Advice.DoBy ?? Instant.MaxValue)
        .ThenBy(line => line.Order)
        .ThenBy(line => line.Advice.Action)
        .Select(line => line.Advice)];

    private bool IsTold(WorkItem item) => item.Level >= Level.Urgent && told.Contains((item.Action, item.Hazard, item.View.Graft.Label));

    private (Advice Advice, int Order) Line(WorkItem[] items, int toldUnions)
    {
        WorkItem worst = items.Aggregate((a, b) => IsWorse(b, a) ? b : a);
        GraftView[] views = [.. items.Select(item => item.View)];
        int unions = views.Sum(view => view.Graft.Count);
        var days = new DayWords(today, worst.View.Climate.Place.Zone);
        Instant? doBy = items.Min(item => item.DoBy ?? Instant.MaxValue) is { } earliest && earliest < Instant.MaxValue ? earliest : null;
        string where = PlaceWords.Where(views);
        string[] labels = [.. views.Select(view => view.Graft.Label)];
        var advice = new Advice
        {
            Id = IdOf(worst, labels),
            Action = worst.Action,
            Hazard = worst.Hazard,
            AlsoAgainst = Advising.AlsoAgainst.Of(
                items.SelectMany(item => item.AlsoFor.Select(other => (other.Hazard!.Value, other.Reached ?? other.Level, item.View.Graft.Label)))),
            Level = items.Max(item => item.Level),
            Reached = items.Max(item => item.Reached ?? item.Level) is var reached && reached > items.Max(item => item.Level) ? reached : null,
            Grafts = labels,
            Where = where,
            Unions = unions,
            ToldUnions = toldUnions,
            DoFrom = worst.DoFrom,
            DoBy = doBy,
            Reasons = worst.Outcome is null || worst.Action == WorkAction.Wait ? [] : [NumberOf(worst), .. AlsoFor(items).Select(NumberOf)],
            Probability = worst.Probability,
            Materials = Materials(worst, unions),
            Minutes = items.Sum(item => MinutesOf(item) * item.View.Graft.Count),
            Text = Text(worst, items, views, unions, where, doBy, days),
            Why = worst.Outcome is null ? worst.Task!.Why
                : HazardPhrases.Why(worst, units, days) + TimeFor(worst, unions) + string.Concat(AlsoFor(items).Select(other => AlsoAgainst(other, days))),
            Cautions = Cautions.For(worst.Action, items, units),
            OpenSince = OpenSince(items),
            Place = worst.View.Graft.Place,
        };
        return (advice, views[0].Order);
    }

    private string Text(WorkItem worst, WorkItem[] items, GraftView[] views, int unions, string where, Instant? doBy, DayWords days)
    {
        bool shading = worst.Action is WorkAction.Shade;
        string named = PlaceWords.Unions(unions, shading ? PlaceWords.Facing(views) : string.Empty);
        string placed = where.Length > 0 ? $"{named} in {where}" : named;
        if (worst.Outcome is not null && worst.Action == WorkAction.Know && worst.Level == Level.Note)
        {
            return HazardPhrases.Know(worst, placed, unions, units, days);
        }

        string open = OpenSince(items) is { } since && since < today ? $" Still open since {days.Day(since)}." : string.Empty;
        if (worst.Outcome is not null)
        {
            string when = worst.Action == WorkAction.Know || doBy is null || worst.Outcome.Part == "rain" ? string.Empty : When(worst, doBy.Value, days);
            string also = Also(worst, days);
            return PlaceWords.Fill(HazardPhrases.Imperative(worst), placed, unions, when) + "; "
                + HazardPhrases.Consequence(worst, units, days) + also + "." + open;
        }

        string text = PlaceWords.Fill(TaskPhrases.Imperative(items, book), placed, unions);
        LocalDate by = items.Min(item => item.Task?.By ?? LocalDate.MaxIsoValue);
        by = by == today && doBy is { } end ? LocalDate.Max(by, end.InZone(days.Zone).Date) : by;
        bool dated = worst.Action is not (WorkAction.Know or WorkAction.Wait) && by >= today && by < today.PlusDays(120);
        return text + (!dated ? string.Empty : by == today ? ", today" : ", by " + days.Day(by)) + "." + open;
    }

    // Covers that are opened and closed have their hours in the sentence; when those have begun, the first time is now.
    private static string When(WorkItem worst, Instant doBy, DayWords days)
    {
        Instant now = worst.View.Climate.Now;
        if (worst.Action is not (WorkAction.Vent or WorkAction.CloseCover))
        {
            return " " + days.Before(doBy, now);
        }

        LocalDate first = doBy.InZone(days.Zone).Date;
        bool begun = doBy <= now && worst.Choice?.Remedy?.After.OpenHours is { } open
            && now.InZone(days.Zone).Hour is var hour && (hour >= open.From && hour < open.To) == (worst.Action == WorkAction.Vent);
        return begun ? ", the first time at once" : first > days.Today ? ", first " + days.Day(first) : string.Empty;
    }

    // Of a night's work that outlasts the night, as much as can be done in time.
    private string TimeFor(WorkItem worst, int unions)
    {
        PlaceClimate climate = worst.View.Climate;
        if (worst.Action != WorkAction.FrostCover || worst.DoBy > climate.Now)
        {
            return string.Empty;
        }

        int enough = (int)((climate.StartOf(worst.Spell!.Value.PeakHour) - climate.Now).TotalMinutes / MinutesOf(worst));
        return enough < 1 || enough >= unions ? string.Empty
            : string.Create(CultureInfo.InvariantCulture, $" One person has time for about {enough} of them before the coldest hour.");
    }

    // The worst of each further hazard in a line.
    private static WorkItem[] AlsoFor(WorkItem[] items) =>
    [
        .. items.SelectMany(item => item.AlsoFor).GroupBy(item => item.Hazard)
            .Select(group => group.Aggregate((a, b) => IsWorse(b, a) ? b : a)).OrderBy(item => item.Hazard),
    ];

    private string AlsoAgainst(WorkItem other, DayWords days)
    {
        string hazard = other.Hazard switch
        {
            Hazard.Wet => "steam",
            Hazard.Sap => "sap pressure",
            { } named => named.ToString().ToLowerInvariant(),
            null => string.Empty,
        };
        return $" Also against {hazard}: {HazardPhrases.Consequence(other, units, days)}.";
    }

    // A line is open only when each of its grafts was named before.
    private static LocalDate? OpenSince(WorkItem[] items) =>
        Array.TrueForAll(items, item => item.OpenSince is not null) ? items.Min(item => item.OpenSince) : null;

    private static string Also(WorkItem item, DayWords days)
    {
        int peak = item.Spell!.Value.PeakHour;
        string peakDay = days.DayOf(item.View.Climate.EndOf(peak));
        string Days(string lead, IEnumerable<int> hours)
        {
            string[] names = [.. hours.Order().Select(hour => days.DayOf(item.View.Climate.EndOf(hour))).Where(day => day != peakDay).Distinct(StringComparer.Ordinal)];
            return names.Length == 0 ? string.Empty : lead + PlaceWords.List(names);
        }

        return item.Action == WorkAction.Know
            ? Days("; also ", item.OtherHours)
            : Days("; needed already ", item.OtherHours.Where(hour => hour < peak)) + Days("; also ", item.OtherHours.Where(hour => hour > peak));
    }

    private static Reason NumberOf(WorkItem item)
    {
        HazardOutcome outcome = item.Outcome!;
        Spell spell = item.Spell!.Value;
        double? after = item.Choice is { Remedy: not { Action: WorkAction.Reseal, Also: null }, Remedy: not null, PeakAfter: var peak } && !double.IsNaN(peak) ? peak : null;
        return new Reason(outcome.Quantity, outcome.Unit, item.View.Climate.EndOf(spell.PeakHour), spell.Peak, after, HazardPhrases.StepOf(item), spell.Level);
    }

    private IReadOnlyList<string> Materials(WorkItem item, int unions)
    {
        if (item.Choice?.Remedy is { } remedy)
        {
            return [.. remedy.Bring.Select(thing => Counted(thing, remedy, unions))];
        }

        return book.Work.TryGetValue(item.Action.Key(), out WorkNeed? need) && item.Action != WorkAction.Know ? need.Bring : [];
    }

    private string Counted(string thing, Remedies.Remedy remedy, int unions)
    {
        bool each = IsCover(remedy.Material, thing) || (remedy.Also is { } also && IsCover(also.Material, thing))
            || thing.StartsWith("stake", StringComparison.Ordinal);
        if (unions > 1 && IsByTheRow(thing))
        {
            return thing + " by the row or tree";
        }

        return each && unions > 1 ? string.Create(CultureInfo.InvariantCulture, $"{unions} × {thing}") : thing;
    }

    private bool IsCover(string material, string thing) =>
        material.Length > 0 && book.Covers.TryGetValue(material, out CoverMaterial? cover) && cover.Name == thing;

    // Cloth, fleece and blankets go over a row or a tree; sleeves and bags over one union.
    private bool IsByTheRow(string thing) => book.Covers.Values.Any(cover =>
        cover.Name == thing && (cover.FrostGainK > 0 || (cover.Layers.Count > 0 && cover.Layers.All(layer => layer.ShadeFrac > 0))));

    private double MinutesOf(WorkItem item) => item.Choice?.Remedy?.Minutes
        ?? (book.Work.TryGetValue(item.Action.Key(), out WorkNeed? need) ? need.Minutes : 0);

    // Dated work shares a line when it is due now, within the week, or later; of a hazard only the day counts. The earliest hour is said.
    private int Window(WorkItem item)
    {
        if (item.Action is WorkAction.Know or WorkAction.Wait || (item.Task is not null && item.Level == Level.Note))
        {
            return 0;
        }

        if (item.Task is { } task)
        {
            int days = Period.DaysBetween(today, task.By);
            return days <= 1 ? 0 : days <= 7 ? 1 : 2;
        }

        return item.DoBy is { } by ? Period.DaysBetween(today, by.InZone(item.View.Climate.Place.Zone).Date) : 0;
    }

    // Kinds of work whose sentences differ stay apart; notes and hopeless cases share one line a hazard or action.
    private static string Apart(WorkItem item) =>
        item.Action == WorkAction.SlitTie ? string.Empty
        : item.TooLate ? HazardWork.LateKind
        : item.Choice is { Remedy: null } || (item.Action == WorkAction.Know && item.Hazard is not null) ? string.Empty
        : item.Level == Level.Note && item.Action is not (WorkAction.Look or WorkAction.Wait or WorkAction.Know or WorkAction.Guard or WorkAction.Regraft) ? string.Empty
        : item.Kind;

    private static bool Outranks(WorkItem one, WorkItem other) =>
        one.Level != other.Level ? one.Level > other.Level : one.Hazard is not null && other.Hazard is null;

    private static bool IsWorse(WorkItem one, WorkItem other)
    {
        if (one.Level != other.Level)
        {
            return one.Level > other.Level;
        }

        return one.Spell is not null && other.Spell is not null && Excess(one) > Excess(other);
    }

    // How far beyond its levels a hazard goes, so that different tissues and quantities compare.
    private static double Excess(WorkItem item)
    {
        Levels levels = item.Outcome!.Levels;
        double sign = item.Outcome.Direction == LevelDirection.Falling ? -1 : 1;
        double step = Math.Abs(levels.Act - levels.Note);
        return sign * (item.Spell!.Value.Peak - levels.Note) / (step > 0 && double.IsFinite(step) ? step : 1);
    }

    // The same work on the same grafts keeps its name from day to day (FNV-1a over action, hazard and labels).
    private static string IdOf(WorkItem item, string[] labels)
    {
        ulong hash = 14695981039346656037;
        foreach (char letter in $"{item.View.Graft.Place}\n{item.Kind}\n{string.Join('\n', labels)}")
        {
            hash = (hash ^ letter) * 1099511628211;
        }

        string hazard = item.Hazard is { } h ? "-" + h.ToString().ToLowerInvariant() : string.Empty;
        return item.Action.Key() + hazard + "-" + (hash & 0xFFFFFFFF).ToString("x8", CultureInfo.InvariantCulture);
    }
}
