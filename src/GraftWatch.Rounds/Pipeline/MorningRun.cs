using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>One look at one grower's morning: when the letter is due and its slot free, it is made, composed and sealed.</summary>
/// <remarks>Running it again at any time, after any crash or beside another process, makes no second letter: the slot decides.</remarks>
public sealed class MorningRun(RoundMaking rounds, ILetterComposer composer, ILedger ledger, ISaidMemory said, ILogger<MorningRun> logger)
{
    /// <summary>Looks once.</summary>
    public async Task<MorningOutcome> LookAsync(Grower grower, MorningSettings settings, Instant now, CancellationToken cancellationToken)
    {
        MorningDecision decision = LetterSchedule.Decide(grower, now, settings.Policy);
        switch (decision)
        {
            case MorningDecision.NotYet(var next):
                return new MorningOutcome.NotYet(next);
            case MorningDecision.TooLate(var letter):
                LetterSlot missed = SlotOf(grower, letter.Date);
                return await IsTakenAsync(missed, cancellationToken).ConfigureAwait(false)
                    ? new MorningOutcome.AlreadySealed(missed)
                    : new MorningOutcome.TooLate(missed);
            case MorningDecision.Due(var letter, var isLate):
                LetterSlot slot = SlotOf(grower, letter.Date);
                return await IsTakenAsync(slot, cancellationToken).ConfigureAwait(false)
                    ? new MorningOutcome.AlreadySealed(slot)
                    : await MakeAsync(grower, slot, letter.At, isLate, settings, now, cancellationToken).ConfigureAwait(false);
            default:
                throw new System.Diagnostics.UnreachableException();
        }
    }

    // A reader who got no letter yesterday must not take its silence for good news.
    private static string NoticeOf(LedgerEntry? yesterday) => yesterday switch
    {
        { State: LetterState.GivenUp } => $"Yesterday's letter (No. {yesterday.Letter.Number}) did not reach you: {yesterday.LastDetail.TrimEnd('.')}.",
        { State: LetterState.Waiting } => $"Yesterday's letter (No. {yesterday.Letter.Number}) is still on its way; follow this one.",
        _ => string.Empty,
    };

    private static string Join(params ReadOnlySpan<string> sentences)
    {
        string joined = string.Empty;
        foreach (string sentence in sentences)
        {
            joined += joined.Length > 0 && sentence.Length > 0 ? " " + sentence : sentence;
        }

        return joined;
    }

    private static LetterSlot SlotOf(Grower grower, LocalDate date) => new(grower.Name, date, LetterKind.Morning);

    private async Task<bool> IsTakenAsync(LetterSlot slot, CancellationToken cancellationToken) =>
        await ledger.FindAsync(slot, cancellationToken).ConfigureAwait(false) is not null;

    private async Task<MorningOutcome> MakeAsync(
        Grower grower, LetterSlot slot, Instant due, bool isLate, MorningSettings settings, Instant now, CancellationToken cancellationToken)
    {
        MadeRound made = await rounds.MakeAsync(grower, slot.Date, settings, now, cancellationToken).ConfigureAwait(false);
        Instant patience = due + settings.Policy.WeatherPatience;
        if (made.WithoutWeather.Count > 0 && now < patience)
        {
            return new MorningOutcome.WaitsForWeather(slot, patience, made.WithoutWeather);
        }

        int number = await ledger.NextNumberAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        LedgerEntry? before = await ledger.FindAsync(slot with { Date = slot.Date.PlusDays(-1) }, cancellationToken).ConfigureAwait(false);
        var occasion = new LetterOccasion(number, now, due, Join(NoticeOf(before), made.RegisterTrouble, settings.Notice), before?.Letter);
        SealedLetter letter = composer.Compose(made.Round, grower, occasion);
        if (!await said.SealAsync(letter, SaidLine.Of(made.Round), cancellationToken).ConfigureAwait(false))
        {
            return new MorningOutcome.AlreadySealed(slot);
        }

        Log.LetterSealed(logger, grower.Name, slot.Date, number, letter.Subject);
        return new MorningOutcome.Sealed(letter, isLate, made.WithoutWeather);
    }
}
