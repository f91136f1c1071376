using GraftWatch.Letters;
using GraftWatch.Records;
using GraftWatch.Rounds.Operator;
using GraftWatch.Rounds.Ports;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Serving;

/// <summary>Writes to who runs the program when something is amiss that does not mend itself. Kept in the ledger like every letter, so that a mail server that is away delays it and loses nothing.</summary>
internal sealed class OperatorPost(MailOptions mail, ServeState state, ILedger ledger, StoreNotes notes, ILogger<OperatorPost> logger)
{
    private const string ToldNote = "operator-told";
    private static readonly Duration Remembered = Duration.FromDays(2);

    /// <summary>Looks once whether there is something new to tell.</summary>
    internal async Task TellAsync(string address, Instant now, CancellationToken cancellationToken)
    {
        // The note of what was told keeps one line a matter.
        OperatorFact[] facts = [.. state.FactsForOperator().Select(fact => fact with { Key = fact.Key.ReplaceLineEndings(" ") })];
        if (facts.Length == 0)
        {
            return;
        }

        LocalDate date = now.InUtc().Date;
        DayOfLetters today = await LookAsync(date, cancellationToken).ConfigureAwait(false);
        DayOfLetters yesterday = await LookAsync(date.PlusDays(-1), cancellationToken).ConfigureAwait(false);
        Dictionary<string, Instant> told = Read(await notes.ReadAsync(ToldNote, cancellationToken).ConfigureAwait(false));
        if (OperatorNotices.Decide(facts, told, today, today.LastSealedAt ?? yesterday.LastSealedAt, now) is not OperatorDecision.Send(var news, var known, var ordinal))
        {
            return;
        }

        var slot = new LetterSlot(LetterSlot.OperatorName, date, LetterKind.Operator, ordinal);
        int number = await ledger.NextNumberAsync(slot.Grower, cancellationToken).ConfigureAwait(false);
        SealedLetter letter = OperatorMail.Compose(mail, slot, number, address, [.. news.Select(fact => fact.Sentence)], [.. known.Select(fact => fact.Sentence)], now) with { UsefulUntil = now + OperatorNotices.UsefulFor };
        if (await ledger.SealAsync(letter, cancellationToken).ConfigureAwait(false))
        {
            Log.OperatorTold(logger, letter.Subject);
            await notes.WriteAsync(ToldNote, Write(told.Where(pair => now - pair.Value < Remembered), news, now), cancellationToken).ConfigureAwait(false);
        }
    }

    private static Dictionary<string, Instant> Read(string? note)
    {
        var told = new Dictionary<string, Instant>(StringComparer.Ordinal);
        foreach (string line in note?.Split('\n', StringSplitOptions.RemoveEmptyEntries) ?? [])
        {
            if (line.Split(' ', 2) is [var stamp, var key] && InstantPattern.ExtendedIso.Parse(stamp) is { Success: true } at)
            {
                told[key] = at.Value;
            }
        }

        return told;
    }

    private static string Write(IEnumerable<KeyValuePair<string, Instant>> before, IReadOnlyList<OperatorFact> news, Instant now)
    {
        Dictionary<string, Instant> told = before.ToDictionary(StringComparer.Ordinal);
        foreach (OperatorFact fact in news)
        {
            told[fact.Key] = now;
        }

        return string.Join('\n', told.Select(pair => InstantPattern.ExtendedIso.Format(pair.Value) + " " + pair.Key));
    }

    private Task<DayOfLetters> LookAsync(LocalDate date, CancellationToken cancellationToken) => ledger.LookAsync(LetterSlot.OperatorName, date, LetterKind.Operator, cancellationToken);
}
