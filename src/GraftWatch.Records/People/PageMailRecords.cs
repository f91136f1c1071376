using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.People;

/// <summary>Mails of the pages.</summary>
internal sealed class PageMailRecords(SqlEngine engine) : IPageMails
{
    public Task KeepAsync(PageMail mail, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(mail);
        return engine.WriteAsync(session => KeepAsync(session, mail), cancellationToken);
    }

    public async Task<IReadOnlyList<PageMail>> TakeDueAsync(Instant now, Duration hold, int most, CancellationToken cancellationToken)
    {
        // A look costs less than a turn at writing, and mostly nothing is due.
        bool any = await engine.ReadAsync(
            async session => await session.NumberAsync("SELECT id FROM page_mail WHERE state = 'waiting' AND (next_try_at IS NULL OR next_try_at <= @now) LIMIT 1", ("@now", Stored.Ticks(now))).ConfigureAwait(false) is not null,
            cancellationToken).ConfigureAwait(false);
        return any ? await engine.WriteAsync(session => TakeDueAsync(session, now, hold, most), cancellationToken).ConfigureAwait(false) : [];
    }

    public Task RecordAsync(long mail, DeliveryResult result, Instant? nextAt, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(result);
        LetterState state = result.Outcome == DeliveryOutcome.Accepted ? LetterState.Accepted : nextAt is null ? LetterState.GivenUp : LetterState.Waiting;
        string forget = state == LetterState.Waiting ? string.Empty : ", bytes = @none";
        return engine.WriteAsync(
            session => session.ExecuteAsync(
                "UPDATE page_mail SET state = @state, tries = tries + 1, next_try_at = @next, last_detail = @detail" + forget + " WHERE id = @id",
                ("@state", Stored.Word(state)),
                ("@next", Stored.Ticks(nextAt)),
                ("@detail", result.Detail),
                ("@none", Array.Empty<byte>()),
                ("@id", mail)),
            cancellationToken);
    }

    public Task<int> CountWaitingAsync(CancellationToken cancellationToken) => engine.ReadAsync(
        async session => (int)(await session.NumberAsync("SELECT count(*) FROM page_mail WHERE state = 'waiting'").ConfigureAwait(false) ?? 0),
        cancellationToken);

    private static async Task<IReadOnlyList<PageMail>> TakeDueAsync(SqlSession session, Instant now, Duration hold, int most)
    {
        List<PageMail> due = await session.ListAsync(
            reader => new PageMail(reader.GetInt64(0), reader.GetString(1), reader.GetString(2), reader.GetString(3), reader.Bytes(4), reader.Instant(5), reader.Instant(6), reader.Whole(7)),
            "SELECT id, address, message_id, subject, bytes, sealed_at, useful_until, tries FROM page_mail WHERE state = 'waiting' AND (next_try_at IS NULL OR next_try_at <= @now) ORDER BY id LIMIT @most" + session.SkipLocked,
            ("@now", Stored.Ticks(now)),
            ("@most", most)).ConfigureAwait(false);
        await session.ExecuteManyAsync("UPDATE page_mail SET next_try_at = @until WHERE id = @id", due, mail => [("@until", Stored.Ticks(now + hold)), ("@id", mail.Id)]).ConfigureAwait(false);
        return due;
    }

    internal static Task KeepAsync(SqlSession session, PageMail mail) => session.ExecuteAsync(
        "INSERT INTO page_mail (address, message_id, subject, bytes, sealed_at, useful_until, state) VALUES (@address, @message, @subject, @bytes, @sealed, @until, 'waiting')",
        ("@address", PeopleRecords.Plain(mail.Address)),
        ("@message", mail.MessageId),
        ("@subject", mail.Subject),
        ("@bytes", mail.Bytes.ToArray()),
        ("@sealed", Stored.Ticks(mail.SealedAt)),
        ("@until", Stored.Ticks(mail.UsefulUntil)));
}
