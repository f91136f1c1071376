using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Explaining;

/// <summary>Why a round says what it says of one graft, and why it does not say the rest.</summary>
/// <param name="Graft">The record.</param>
/// <param name="Stage">Where it stands.</param>
/// <param name="Hazards">Every hazard, judged or not.</param>
/// <param name="Said">Lines of the round about this graft.</param>
/// <param name="Unsaid">Lines that would stand in the round, had the ledger not answered them.</param>
public sealed record GraftReasons(
    Graft Graft, GraftStage Stage, IReadOnlyList<HazardReason> Hazards, IReadOnlyList<Advice> Said, IReadOnlyList<UnsaidAdvice> Unsaid)
{
    /// <summary>Every kind of dated work that is not due, with its reason.</summary>
    public IReadOnlyList<NotDueWork> NotDue { get; init; } = [];

    /// <summary>The next days at this union with the remedy the round would choose; null when they could not be computed.</summary>
    public UnionOutlook? Outlook { get; init; }

    /// <summary>Every stage still ahead, with the dates it is expected to begin on.</summary>
    public IReadOnlyList<StageAhead> Ahead { get; init; } = [];

    /// <summary>The graft as it stands after everything the grower saw and did.</summary>
    public required GraftNow Now { get; init; }

    /// <summary>Explains one graft of a round.</summary>
    /// <param name="request">The round.</param>
    /// <param name="label">The graft.</param>
    /// <param name="fault">Why it cannot be explained: a sentence; empty when it can.</param>
    public static GraftReasons? Of(RoundRequest request, string label, out string fault)
    {
        ArgumentNullException.ThrowIfNull(request);
        if (GraftHours.View(request, label, out fault) is not { } view)
        {
            return null;
        }

        RoundRequest alone = request with { Grafts = [view.Graft], Said = [.. request.Said.Where(said => said.Graft == label)] };
        Round round = RoundMaker.Make(alone);
        Round unanswered = RoundMaker.Make(alone with { Said = [] });
        HashSet<(WorkAction, Hazard?)> saidToday = [.. round.Advice.Select(advice => (advice.Action, advice.Hazard))];
        UnsaidAdvice[] unsaid =
        [
            .. unanswered.Advice
                .Where(advice => !saidToday.Contains((advice.Action, advice.Hazard)))
                .Select(advice => new UnsaidAdvice(advice, alone.Said.LastOrDefault(said => said.Action == advice.Action && said.Hazard == advice.Hazard))),
        ];
        IReadOnlyList<HazardOutcome> judged = new HazardDesk(request.Handbook).Judge(view.Case);
        HazardReason[] hazards = [.. Enum.GetValues<Hazard>().Select(hazard => Reason(view, hazard, judged.FirstOrDefault(outcome => outcome.Hazard == hazard), request.Handbook.Thresholds))];
        HashSet<WorkAction> spoken = [.. round.Advice.Where(advice => advice.Hazard is null).Select(advice => advice.Action), .. unsaid.Where(held => held.Advice.Hazard is null).Select(held => held.Advice.Action)];
        return new GraftReasons(view.Graft, round.Stages[0], hazards, round.Advice, unsaid) { NotDue = DatedReasons.Of(view, alone, spoken), Now = GraftNow.Of(view), Outlook = unanswered.Outlook, Ahead = [.. StageAhead.Of(view, request)] };
    }

    private static HazardReason Reason(GraftView view, Hazard hazard, HazardOutcome? outcome, ThresholdSet thresholds)
    {
        if (outcome is null)
        {
            return new HazardReason(hazard, HazardVerdict.CannotMeet, CannotMeet(view, hazard));
        }

        Spell? worst = outcome.Spells.Count == 0 ? null : outcome.Spells.MaxBy(spell => spell.Level);
        HazardVerdict verdict = outcome.NotChecked is not null ? HazardVerdict.NotChecked : worst is null ? HazardVerdict.Fine : HazardVerdict.Reached;
        (double worstValue, int worstHour) = WorstOf(outcome);
        (string key, SettingInForce? setting) = SettingOf(hazard, outcome, view.Subject, thresholds);
        return new HazardReason(hazard, verdict, outcome.NotChecked ?? string.Empty)
        {
            Quantity = outcome.Quantity,
            Unit = outcome.Unit,
            Part = outcome.Part,
            Worst = worstValue,
            WorstAt = worstHour < 0 ? null : view.Climate.EndOf(worstHour),
            Levels = outcome.Levels,
            Direction = outcome.Direction,
            Reached = worst?.Level ?? Level.None,
            From = worst is { } from ? view.Climate.StartOf(from.FromHour) : null,
            To = worst is { } to ? view.Climate.EndOf(to.ToHour) : null,
            Days = outcome.Spells.Count,
            Key = key,
            Setting = setting,
        };
    }

    // An outcome's worst value is that of the days a letter decides on; spells may lie later and be worse.
    private static (double Value, int Hour) WorstOf(HazardOutcome outcome)
    {
        (double value, int hour) = (outcome.WorstValue, outcome.WorstHour);
        foreach (Spell spell in outcome.Spells)
        {
            if (double.IsNaN(value) || (outcome.Direction == LevelDirection.Falling ? spell.Peak < value : spell.Peak > value))
            {
                (value, hour) = (spell.Peak, spell.PeakHour);
            }
        }

        return (value, hour);
    }

    // The trio whose values are the ones it was held against; a frost table's margins or a species' own limit have none.
    private static (string Key, SettingInForce? Setting) SettingOf(Hazard hazard, HazardOutcome outcome, Subject subject, ThresholdSet thresholds)
    {
        string start = hazard switch
        {
            Hazard.ColdStall => "cold_stall.",
            _ => hazard.ToString().ToLowerInvariant() + ".",
        };
        foreach (string key in thresholds.All.Keys.Where(key => key.StartsWith(start, StringComparison.Ordinal) && key.EndsWith(".act", StringComparison.Ordinal)))
        {
            string prefix = key[..^".act".Length];
            if (thresholds.All.ContainsKey(prefix + ".note") && thresholds.All.ContainsKey(prefix + ".urgent") && thresholds.Levels(prefix, subject) == outcome.Levels)
            {
                return (key, thresholds.Find(key, subject));
            }
        }

        return (string.Empty, null);
    }

    private static string CannotMeet(GraftView view, Hazard hazard)
    {
        if (view.Stage is Grafts.Stage.Failed or Grafts.Stage.Established)
        {
            return view.Stage == Grafts.Stage.Failed ? "the grower has recorded it as dead" : "it is established and stands alone";
        }

        return hazard switch
        {
            Hazard.Sun => "no bark or leaves were freshly bared, or a cover keeps the sun off",
            Hazard.Sap => $"{view.Species.Name} does not bleed hard enough, or the union has knitted",
            Hazard.Wind => "there is neither a shoot long enough nor a cover to catch the wind",
            Hazard.Wet => "no film or cover holds water or steam at it, or its cuts are closed",
            Hazard.ColdStall => "it is too old, or too far healed, for a cold spell to hold it back",
            _ => "nothing at this stage can be harmed by it",
        };
    }
}

/// <summary>One hazard at one graft, as it was judged.</summary>
/// <param name="Hazard">Which.</param>
/// <param name="Verdict">How it stands.</param>
/// <param name="Why">Why it cannot meet the graft or was not checked; ends a sentence that begins with "because". Empty otherwise.</param>
public sealed record HazardReason(Hazard Hazard, HazardVerdict Verdict, string Why)
{
    /// <summary>What was looked at.</summary>
    public string Quantity { get; init; } = string.Empty;

    /// <summary>SI unit of the numbers.</summary>
    public string Unit { get; init; } = string.Empty;

    /// <summary>Which tissue or part.</summary>
    public string Part { get; init; } = string.Empty;

    /// <summary>Worst value ahead; NaN when none is known.</summary>
    public double Worst { get; init; } = double.NaN;

    /// <summary>When.</summary>
    public Instant? WorstAt { get; init; }

    /// <summary>The levels it was held against.</summary>
    public Levels Levels { get; init; }

    /// <summary>Which way danger lies.</summary>
    public LevelDirection Direction { get; init; }

    /// <summary>Highest level reached on any day or night ahead.</summary>
    public Level Reached { get; init; }

    /// <summary>Start of the first day or night of that level.</summary>
    public Instant? From { get; init; }

    /// <summary>Its end.</summary>
    public Instant? To { get; init; }

    /// <summary>Number of days or nights that reach a level.</summary>
    public int Days { get; init; }

    /// <summary>Key of the level at which work is due; empty when the levels follow from a table of the species.</summary>
    public string Key { get; init; } = string.Empty;

    /// <summary>The value in force and its line; null when the levels follow from a table of the species.</summary>
    public SettingInForce? Setting { get; init; }
}

/// <summary>How a hazard stands at a graft.</summary>
public enum HazardVerdict
{
    /// <summary>Checked, and no level is reached.</summary>
    Fine = 0,

    /// <summary>A level is reached.</summary>
    Reached,

    /// <summary>It could not be checked.</summary>
    NotChecked,

    /// <summary>It cannot meet a graft like this.</summary>
    CannotMeet,
}

/// <summary>A line that is not in the round because of what the ledger knows.</summary>
/// <param name="Advice">The line as it would stand.</param>
/// <param name="Before">What was said and answered before; null when another piece of work took its place.</param>
public sealed record UnsaidAdvice(Advice Advice, SaidBefore? Before);

/// <summary>A stage still ahead.</summary>
/// <param name="Stage">Which.</param>
/// <param name="Early">Earliest local date; null when it cannot be said.</param>
/// <param name="Likely">Likely date.</param>
/// <param name="Late">Latest date.</param>
public sealed record StageAhead(Stage Stage, LocalDate? Early, LocalDate? Likely, LocalDate? Late)
{
    internal static IEnumerable<StageAhead> Of(GraftView view, RoundRequest request)
    {
        double spread = request.Handbook.Thresholds.Number("healing.clock.spread", view.Subject);
        for (Stage stage = view.Stage + 1; stage <= Grafts.Stage.Established; stage++)
        {
            (Instant? early, Instant? likely, Instant? late) = view.Clock.Begins(stage, view.Plan, view.Path, view.MadeAt, spread);
            yield return new StageAhead(stage, Date(early), Date(likely), Date(late));
        }

        LocalDate? Date(Instant? at) => at is { } instant ? LocalDate.Max(instant.InZone(view.Climate.Place.Zone).Date, request.Date) : null;
    }
}

/// <summary>A graft as it stands: the register's record with what the grower saw and did since.</summary>
/// <param name="Cover">Key of the cover on it.</param>
/// <param name="IsVented">Whether the cover stands open.</param>
/// <param name="Tie">Key of the tie still on.</param>
/// <param name="Seal">Key of the seal.</param>
/// <param name="ShootM">Length of the longest shoot. [m]; 0 while there is none.</param>
/// <param name="IsShootEstimated">Whether that length is an estimate of the healing clock.</param>
/// <param name="Bbch">Latest code of the buds; null when never seen.</param>
/// <param name="Support">How the shoot is held.</param>
public sealed record GraftNow(string Cover, bool IsVented, string Tie, string Seal, double ShootM, bool IsShootEstimated, int? Bbch, ShootSupport Support)
{
    internal static GraftNow Of(GraftView view) => new(
        view.State.Cover, view.State.Vented, view.State.Tie, view.State.Seal, view.ShootM, view.ShootEstimated, view.State.Bbch, view.State.Support);
}
