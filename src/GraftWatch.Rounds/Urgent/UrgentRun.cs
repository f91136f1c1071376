using System.Collections.Concurrent;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Rounds.Urgent;

/// <summary>One look between two letters: when the hours of a grower's places, the register or the answers changed and something new is urgent, a note is sealed.</summary>
/// <remarks>
/// Running it again makes no second note: what a note said is remembered with it, and a slot is taken once. What was found for
/// which of them lives in memory only; a program that starts anew looks once more and comes to the same.
/// </remarks>
public sealed class UrgentRun(RoundMaking rounds, LetterSealing sealing, ILedger ledger, IRegister register, ILogger<UrgentRun> logger)
{
    /// <summary>Hours may be as old as the pause between two fetches, and some.</summary>
    private static readonly Duration OldestHours = Duration.FromHours(3.5);

    /// <summary>Work that is due at least this long after the next letter can wait for it (common practice, no source).</summary>
    private static readonly Duration TimeToAct = Duration.FromHours(2);

    private static readonly Duration UsualUse = Duration.FromHours(6);

    private readonly ConcurrentDictionary<string, Seen> looked = new(StringComparer.Ordinal);

    /// <summary>Looks once.</summary>
    public async Task<UrgentOutcome> LookAsync(Grower grower, MorningSettings settings, Instant now, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(grower);
        ArgumentNullException.ThrowIfNull(settings);
        if (grower.Urgent.Count == 0)
        {
            return new UrgentOutcome.Nothing("the grower wants none");
        }

        LocalDate today = now.InZone(grower.Zone).Date;
        Instant nextLetter = LetterSchedule.NextDue(grower, now).At;
        LocalDate lastLetter = now < LetterSchedule.DueAt(grower, today) ? today.PlusDays(-1) : today;
        if ((await ledger.LookAsync(grower.Name, lastLetter, LetterKind.Morning, cancellationToken).ConfigureAwait(false)).Sealed == 0)
        {
            return new UrgentOutcome.Nothing("the day's letter will say it");
        }

        RoundRequest request = await rounds.GatherWithoutHoursAsync(grower, today, settings, now, cancellationToken).ConfigureAwait(false);
        ulong hours = await rounds.MarkHoursAsync(request, now, OldestHours, cancellationToken).ConfigureAwait(false);
        var seen = new Seen(today, nextLetter, settings.Handbook, hours, Fingerprint(request), null);
        if (looked.TryGetValue(grower.Name, out Seen? before) && before with { HeldUntil = null } == seen && (before.HeldUntil is null || now < before.HeldUntil))
        {
            return new UrgentOutcome.Nothing("hours, register and answers are those of the last look");
        }

        request = await rounds.WithHoursAsync(request, now, OldestHours, cancellationToken).ConfigureAwait(false);
        UrgentOutcome outcome = await DecideAsync(grower, request, nextLetter, now, cancellationToken).ConfigureAwait(false);
        looked[grower.Name] = seen with { HeldUntil = (outcome as UrgentOutcome.Held)?.Until };
        return outcome;
    }

    // Lines that nobody answered are left out: a note adds them itself, and what it said is no news to the next look.
    private static ulong Fingerprint(RoundRequest request)
    {
        // Two hashes of 32 bits: one alone would miss a change once in four thousand million looks.
        var low = new HashCode();
        var high = new HashCode();
        high.Add(request.Grafts.Count);
        high.Add(request.Observations.Count);
        foreach (Graft graft in request.Grafts)
        {
            Add(graft with { Assumed = [] });
        }

        foreach (Observation observation in request.Observations)
        {
            Add(observation);
        }

        foreach (SaidBefore answered in request.Said.Where(line => line.State != SaidState.Open))
        {
            Add(answered);
        }

        return ((ulong)(uint)high.ToHashCode() << 32) | (uint)low.ToHashCode();

        void Add(object one)
        {
            low.Add(one);
            high.Add(one);
        }
    }

    // What the next letter still says in good time is not worth disturbing anybody for.
    private static Round OnlyWhatCannotWait(Round round, Instant nextLetter) =>
        round with { Advice = [.. round.Advice.Where(advice => advice.DoBy is null || advice.DoBy < nextLetter + TimeToAct)] };

    private static string Unknown(IReadOnlyList<PlaceWeather> places)
    {
        string[] dark = [.. places.Where(place => place.Weather is null).Select(place => $"{place.Place.Name} ({place.Trouble ?? "the reply had no hours"})")];
        return dark.Length == 0 ? string.Empty : $"; there are no hours for {string.Join(", ", dark)}, so nothing is known there";
    }

    private static Instant UsefulUntil(Round note, Instant now)
    {
        Instant? last = note.Advice.Max(advice => advice.DoBy);
        return last is { } by && by > now ? by : now + UsualUse;
    }

    private async Task<UrgentOutcome> DecideAsync(Grower grower, RoundRequest request, Instant nextLetter, Instant now, CancellationToken cancellationToken)
    {
        // Notes are counted before what they said is read: a note that another run seals in between is either known or has taken the slot.
        DayOfLetters notes = await ledger.LookAsync(grower.Name, request.Date, LetterKind.Urgent, cancellationToken).ConfigureAwait(false);
        IReadOnlyList<SaidBefore> said = await register.LoadSaidAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        Round round = OnlyWhatCannotWait(rounds.Make(request with { Told = UrgentNotes.Told(said, request.Date) }).Round, nextLetter);
        switch (UrgentNotes.Decide(round, said, letterIsOut: true, notes.Sealed, grower.Wishes, grower.Zone, now))
        {
            case UrgentDecision.Nothing(var why):
                return new UrgentOutcome.Nothing(why + Unknown(request.Places));
            case UrgentDecision.Hold(var until):
                return new UrgentOutcome.Held(until);
            case UrgentDecision.Send(var note, var ordinal):
                var occasion = new LetterOccasion(0, now) { Kind = LetterKind.Urgent, Ordinal = ordinal, UsefulUntil = UsefulUntil(note, now) };
                return await SealAsync(note, grower, occasion, cancellationToken).ConfigureAwait(false);
            default:
                throw new System.Diagnostics.UnreachableException();
        }
    }

    private async Task<UrgentOutcome> SealAsync(Round note, Grower grower, LetterOccasion occasion, CancellationToken cancellationToken)
    {
        switch (await sealing.SealAsync(note, grower, occasion, cancellationToken).ConfigureAwait(false))
        {
            case SealingOutcome.Taken:
                return new UrgentOutcome.Nothing("another run was first");
            case SealingOutcome.Crowded:
                return new UrgentOutcome.Held(occasion.Now);
            case SealingOutcome.Sealed(var letters):
                Log.NoteSealed(logger, grower.Name, note.Date, letters[0].Number, LetterSealing.ChannelsOf(letters), letters[0].Subject);
                return new UrgentOutcome.Sealed(letters);
            default:
                throw new System.Diagnostics.UnreachableException();
        }
    }

    private sealed record Seen(LocalDate Date, Instant NextLetter, Handbook Handbook, ulong Hours, ulong Register, Instant? HeldUntil);
}

/// <summary>What became of one look between two letters.</summary>
public abstract record UrgentOutcome
{
    private UrgentOutcome()
    {
    }

    /// <summary>A note was sealed; it waits to be handed over.</summary>
    /// <param name="Letters">One a channel; at least one.</param>
    public sealed record Sealed(IReadOnlyList<SealedLetter> Letters) : UrgentOutcome;

    /// <summary>Something is urgent, but the grower is not to be woken; it is decided anew then.</summary>
    /// <param name="Until">End of the holding hours.</param>
    public sealed record Held(Instant Until) : UrgentOutcome;

    /// <summary>No note.</summary>
    /// <param name="Why">Ends the sentence "no note, because …".</param>
    public sealed record Nothing(string Why) : UrgentOutcome;
}
