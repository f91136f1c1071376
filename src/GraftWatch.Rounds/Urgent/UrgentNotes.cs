using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Rounds.Urgent;

/// <summary>Decides whether something new is urgent enough to write between two letters. A pure function: whoever asks twice gets the same answer.</summary>
public static class UrgentNotes
{
    /// <summary>A loss whose worst hour ends so soon is for the next letter: nothing can be done, and nobody is woken for it (common practice, no source).</summary>
    private static readonly Duration Unhelped = Duration.FromHours(2);

    /// <summary>Decides.</summary>
    /// <param name="round">The round of the newest forecast, made without what <see cref="Told"/> names.</param>
    /// <param name="said">What letters and notes said before, with the level it had.</param>
    /// <param name="letterIsOut">Whether the day's letter is sealed: before that the letter itself will say it.</param>
    /// <param name="notesToday">Urgent notes already sealed for the round's local day.</param>
    /// <param name="wishes">The grower's wishes.</param>
    /// <param name="zone">The grower's zone.</param>
    /// <param name="now">The instant of the run.</param>
    public static UrgentDecision Decide(
        Round round, IReadOnlyList<SaidBefore> said, bool letterIsOut, int notesToday, UrgentWishes wishes, DateTimeZone zone, Instant now)
    {
        ArgumentNullException.ThrowIfNull(round);
        ArgumentNullException.ThrowIfNull(said);
        ArgumentNullException.ThrowIfNull(wishes);
        ArgumentNullException.ThrowIfNull(zone);
        if (!letterIsOut)
        {
            return new UrgentDecision.Nothing("the day's letter will say it");
        }

        HashSet<(WorkAction Action, Hazard? Hazard, string Graft)> known = Told(said, round.Date);
        Advice[] fresh =
        [
            .. round.Advice.Where(a => a.Level >= Level.Urgent && (a.DoBy is null || a.DoBy >= now) && !IsLost(a, now)
                && a.Grafts.Any(graft => !known.Contains((a.Action, a.Hazard, graft)))),
        ];
        if (fresh.Length == 0)
        {
            return new UrgentDecision.Nothing("nothing new is urgent");
        }

        if (notesToday >= wishes.MostADay)
        {
            return new UrgentDecision.Nothing($"{notesToday} notes went out today, and {wishes.MostADay} are the most; the next letter says it");
        }

        bool frost = wishes.FrostPasses && fresh.Any(a => a.Hazard == Hazard.Frost);
        if (HeldUntil(wishes, zone, now) is { } until && !frost)
        {
            return new UrgentDecision.Hold(until);
        }

        return new UrgentDecision.Send(round with { Advice = fresh, Stages = [], Fine = [], Outlook = null, Planned = [] }, notesToday);
    }

    /// <summary>What letters and notes told as urgent and what stands: no news for a note of the day.</summary>
    /// <param name="said">What letters and notes said before, with the level it had.</param>
    /// <param name="today">The grower's local day.</param>
    public static HashSet<(WorkAction Action, Hazard? Hazard, string Graft)> Told(IReadOnlyList<SaidBefore> said, LocalDate today)
    {
        ArgumentNullException.ThrowIfNull(said);
        return [.. said.Where(s => s.LastLevel >= Level.Urgent && Stands(s, today)).Select(s => (s.Action, s.Hazard, s.Graft))];
    }

    private static bool IsLost(Advice advice, Instant now) => advice.Action == WorkAction.Know && advice.Reasons.All(reason => reason.At <= now + Unhelped);

    // An answer settles the day it was given, or the days put off. Later the round is silent for as long as it holds; what is there again then is new.
    private static bool Stands(SaidBefore said, LocalDate today) => said.State == SaidState.Open || (said.AnsweredOn ?? said.FirstSaid) >= today || said.Until > today;

    /// <summary>End of the holding hours that <paramref name="now"/> falls into; null outside them. Hours over midnight belong to the evening they begin.</summary>
    public static Instant? HeldUntil(UrgentWishes wishes, DateTimeZone zone, Instant now)
    {
        ArgumentNullException.ThrowIfNull(wishes);
        ArgumentNullException.ThrowIfNull(zone);
        if (wishes.HoldFrom is not { } from || wishes.HoldUntil is not { } until || from == until)
        {
            return null;
        }

        LocalDate today = now.InZone(zone).Date;
        foreach (LocalDate evening in new[] { today.PlusDays(-1), today })
        {
            Instant start = zone.AtLeniently(evening + from).ToInstant();
            Instant end = zone.AtLeniently((from < until ? evening : evening.PlusDays(1)) + until).ToInstant();
            if (start <= now && now < end)
            {
                return end;
            }
        }

        return null;
    }
}

/// <summary>A grower's wishes for urgent notes.</summary>
/// <param name="MostADay">Most notes a local day.</param>
/// <param name="HoldFrom">Local time from which notes are held; null for never.</param>
/// <param name="HoldUntil">Local time until which they are held; null for never.</param>
/// <param name="FrostPasses">Whether a frost note goes out all the same.</param>
public sealed record UrgentWishes(int MostADay = 3, LocalTime? HoldFrom = null, LocalTime? HoldUntil = null, bool FrostPasses = true);

/// <summary>What to do about urgent news.</summary>
public abstract record UrgentDecision
{
    private UrgentDecision()
    {
    }

    /// <summary>Write.</summary>
    /// <param name="Round">The round with only what is new.</param>
    /// <param name="Ordinal">Ordinal of the slot.</param>
    public sealed record Send(Round Round, int Ordinal) : UrgentDecision;

    /// <summary>Ask again then; what has passed by then is no longer urgent.</summary>
    /// <param name="Until">End of the holding hours.</param>
    public sealed record Hold(Instant Until) : UrgentDecision;

    /// <summary>Do not write.</summary>
    /// <param name="Why">Ends the sentence "no note, because …".</param>
    public sealed record Nothing(string Why) : UrgentDecision;
}
