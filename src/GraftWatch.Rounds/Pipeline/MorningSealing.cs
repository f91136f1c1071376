using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>Seals a morning letter with what its reader must know of the letters before it.</summary>
public sealed class MorningSealing(LetterSealing sealing, ILedger ledger)
{
    private static readonly LocalDatePattern DayAndMonth = LocalDatePattern.CreateWithInvariantCulture("d MMMM");

    /// <summary>Composes and seals; a day that has its letter keeps it.</summary>
    /// <param name="letter">What to say.</param>
    /// <param name="grower">To whom.</param>
    /// <param name="now">The instant of the run.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    public async Task<SealingOutcome> SealAsync(MorningLetter letter, Grower grower, Instant now, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(letter);
        ArgumentNullException.ThrowIfNull(grower);
        LocalDate date = letter.Round.Date;
        var slot = new LetterSlot(grower.Name, date.PlusDays(-1), LetterKind.Morning);
        IReadOnlyList<LedgerEntry> yesterday = await ledger.LoadOccasionAsync(slot, cancellationToken).ConfigureAwait(false);
        LedgerEntry? before = await ledger.FindLastAsync(grower.Name, LetterKind.Morning, LetterSlot.Mail, date, cancellationToken).ConfigureAwait(false);
        var occasion = new LetterOccasion(0, now, letter.DueAt, Join(NoticeOf(yesterday), GapNotice(grower, before, date), letter.RegisterTrouble, letter.Notice), before?.Letter)
        {
            UsefulUntil = letter.UsefulUntil,
        };
        return await sealing.SealAsync(letter.Round, grower, occasion, cancellationToken).ConfigureAwait(false);
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
}

/// <summary>A morning letter that is to be sealed.</summary>
/// <param name="Round">What to say; its date is the letter's.</param>
/// <param name="UsefulUntil">From when it has lost its use.</param>
public sealed record MorningLetter(Round Round, Instant UsefulUntil)
{
    /// <summary>When it was due, so that a late one says so; null for one that was asked for.</summary>
    public Instant? DueAt { get; init; }

    /// <summary>What was wrong with the register; empty when nothing was.</summary>
    public string RegisterTrouble { get; init; } = string.Empty;

    /// <summary>What else must be said; empty for nothing.</summary>
    public string Notice { get; init; } = string.Empty;
}
