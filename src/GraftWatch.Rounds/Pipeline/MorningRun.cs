using System.Collections.Concurrent;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using Microsoft.Extensions.Logging;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>One look at one grower's morning: when the letter is due and its slot free, it is made, composed and sealed.</summary>
/// <remarks>Running it again at any time, after any crash or beside another process, makes no second letter: the slot decides.</remarks>
public sealed class MorningRun(RoundMaking rounds, LetterSealing sealing, ILedger ledger, ILogger<MorningRun> logger)
{
    private static readonly LocalDatePattern DayAndMonth = LocalDatePattern.CreateWithInvariantCulture("d MMMM");

    // What is sealed stays sealed, so it need not be asked again all day. Closed days are asked again: a store can be restored.
    private readonly ConcurrentDictionary<string, LocalDate> sealedFor = new(StringComparer.Ordinal);

    /// <summary>Looks once.</summary>
    public async Task<MorningOutcome> LookAsync(Grower grower, MorningSettings settings, Instant now, CancellationToken cancellationToken)
    {
        MorningDecision decision = LetterSchedule.Decide(grower, now, settings.Policy);
        DueLetter letter;
        switch (decision)
        {
            case MorningDecision.NotYet(var next):
                return new MorningOutcome.NotYet(next);
            case MorningDecision.TooLate(var missed):
                letter = missed;
                break;
            case MorningDecision.Due(var due, _):
                letter = due;
                break;
            default:
                throw new System.Diagnostics.UnreachableException();
        }

        var slot = new LetterSlot(grower.Name, letter.Date, LetterKind.Morning);
        return await TakenAsync(slot, cancellationToken).ConfigureAwait(false) is { } taken ? taken
            : decision is MorningDecision.Due(_, var isLate) ? await MakeAsync(grower, slot, letter.At, isLate, settings, now, cancellationToken).ConfigureAwait(false)
            : new MorningOutcome.TooLate(slot);
    }

    // A reader who got no letter yesterday must not take its silence for good news. One copy that arrived is enough.
    private static string NoticeOf(IReadOnlyList<LedgerEntry> yesterday)
    {
        if (yesterday.Count == 0 || yesterday.Any(copy => copy.State == LetterState.Accepted))
        {
            return string.Empty;
        }

        LedgerEntry first = yesterday[0];
        return yesterday.Any(copy => copy.State == LetterState.Waiting)
            ? $"Yesterday's letter (No. {first.Letter.Number}) is still on its way; follow this one."
            : $"Yesterday's letter (No. {first.Letter.Number}) did not reach you: {first.LastDetail.TrimEnd('.')}.";
    }

    // Days that passed while nothing ran have no letter and no row; the next letter is where their reader learns of it.
    private static string GapNotice(Grower grower, LedgerEntry? before, LocalDate date)
    {
        if (before is null)
        {
            return string.Empty;
        }

        LocalDate first = before.Letter.Slot.Date.PlusDays(1), last = date.PlusDays(-1);
        bool anyDue = Enumerable.Range(0, Math.Max(0, Period.DaysBetween(first, last) + 1)).Any(day => LetterSchedule.DueAt(grower, first.PlusDays(day)) is not null);
        return !anyDue ? string.Empty
            : first == last ? $"There was no letter on {DayAndMonth.Format(first)}; what still stands is in this one."
            : $"There was no letter from {DayAndMonth.Format(first)} to {DayAndMonth.Format(last)}; what still stands is in this one.";
    }

    private static string Join(params ReadOnlySpan<string> sentences)
    {
        string joined = string.Empty;
        foreach (string sentence in sentences)
        {
            joined += joined.Length > 0 && sentence.Length > 0 ? " " + sentence : sentence;
        }

        return joined;
    }

    /// <summary>Why no letter is made for a slot; null when one is to be made. Asked before any round is computed.</summary>
    private async Task<MorningOutcome?> TakenAsync(LetterSlot slot, CancellationToken cancellationToken)
    {
        if (sealedFor.TryGetValue(slot.Grower, out LocalDate known) && known == slot.Date)
        {
            return new MorningOutcome.AlreadySealed(slot);
        }

        DayOfLetters day = await ledger.LookAsync(slot.Grower, slot.Date, LetterKind.Morning, cancellationToken).ConfigureAwait(false);
        if (day.Sealed > 0)
        {
            sealedFor[slot.Grower] = slot.Date;
            return new MorningOutcome.AlreadySealed(slot);
        }

        return day.IsClosed ? new MorningOutcome.Closed(slot) : null;
    }

    private async Task<MorningOutcome> MakeAsync(
        Grower grower, LetterSlot slot, Instant due, bool isLate, MorningSettings settings, Instant now, CancellationToken cancellationToken)
    {
        MadeRound made = await rounds.MakeAsync(grower, slot.Date, settings, now, cancellationToken).ConfigureAwait(false);
        Instant patience = due + settings.Policy.WeatherPatience;
        if (made.WithoutWeather.Count > 0 && now < patience)
        {
            return new MorningOutcome.WaitsForWeather(slot, patience, made.WithoutWeather);
        }

        IReadOnlyList<LedgerEntry> yesterday = await ledger.LoadOccasionAsync(slot with { Date = slot.Date.PlusDays(-1) }, cancellationToken).ConfigureAwait(false);
        LedgerEntry? before = await ledger.FindLastAsync(grower.Name, LetterKind.Morning, LetterSlot.Mail, slot.Date, cancellationToken).ConfigureAwait(false);
        var occasion = new LetterOccasion(0, now, due, Join(NoticeOf(yesterday), GapNotice(grower, before, slot.Date), made.RegisterTrouble, settings.Notice), before?.Letter)
        {
            UsefulUntil = LetterSchedule.TooLateAt(grower, slot.Date, settings.Policy),
        };
        SealingOutcome outcome = await sealing.SealAsync(made.Round, grower, occasion, cancellationToken).ConfigureAwait(false);
        switch (outcome)
        {
            case SealingOutcome.Taken:
                return await TakenAsync(slot, cancellationToken).ConfigureAwait(false) ?? new MorningOutcome.AlreadySealed(slot);
            case SealingOutcome.Crowded:
                return new MorningOutcome.Crowded(slot);
            case SealingOutcome.Sealed(var letters):
                sealedFor[grower.Name] = slot.Date;
                Log.LetterSealed(logger, grower.Name, slot.Date, letters[0].Number, LetterSealing.ChannelsOf(letters), letters[0].Subject);
                return new MorningOutcome.Sealed(letters, isLate, made.WithoutWeather);
            default:
                throw new System.Diagnostics.UnreachableException();
        }
    }
}
