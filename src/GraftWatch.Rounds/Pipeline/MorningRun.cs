using System.Collections.Concurrent;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>One look at one grower's morning: when the letter is due and its slot free, it is made, composed and sealed.</summary>
/// <remarks>Running it again at any time, after any crash or beside another process, makes no second letter: the slot decides.</remarks>
public sealed class MorningRun(RoundMaking rounds, MorningSealing sealing, ILedger ledger, ILogger<MorningRun> logger)
{
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

        var letter = new MorningLetter(made.Round, LetterSchedule.TooLateAt(grower, slot.Date, settings.Policy)) { DueAt = due, RegisterTrouble = made.RegisterTrouble, Notice = settings.Notice };
        SealingOutcome outcome = await sealing.SealAsync(letter, grower, now, cancellationToken).ConfigureAwait(false);
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
