using System.Data.Common;
using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.People;

/// <summary>People who use the pages.</summary>
internal sealed class PeopleRecords(SqlEngine engine) : IPeople
{
    private const string SessionColumns = "SELECT id, address, device, opened_at, seen_at FROM page_session WHERE ended_at IS NULL AND seen_at > @idle";
    private static readonly Duration Idle = Duration.FromDays(PageSession.IdleDays);

    public Task<bool> OfferAsync(EntryLink link, PageMail mail, int most, Duration within, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(link);
        ArgumentNullException.ThrowIfNull(mail);
        return engine.WriteAsync(session => OfferAsync(session, link, mail, most, within), cancellationToken);
    }

    public Task<EntryLink?> FindLinkAsync(ReadOnlyMemory<byte> hash, Instant now, CancellationToken cancellationToken) =>
        engine.ReadAsync(session => FindLinkAsync(session, hash, now, string.Empty), cancellationToken);

    public Task<EntryLink?> EnterAsync(ReadOnlyMemory<byte> link, ReadOnlyMemory<byte> session, string device, Instant now, CancellationToken cancellationToken) =>
        engine.WriteAsync(unit => EnterAsync(unit, link, session, device, now), cancellationToken);

    public Task<EntryLink?> ChangeAddressAsync(ReadOnlyMemory<byte> link, ReadOnlyMemory<byte> session, string device, Instant now, CancellationToken cancellationToken) =>
        engine.WriteAsync(unit => ChangeAddressAsync(unit, link, session, device, now), cancellationToken);

    public Task<PageSession?> FindSessionAsync(ReadOnlyMemory<byte> hash, Instant now, CancellationToken cancellationToken) => engine.ReadAsync(
        session => session.FirstAsync(MapSession, session.Command(SessionColumns + " AND hash = @hash", ("@idle", Stored.Ticks(now - Idle)), ("@hash", hash.ToArray()))),
        cancellationToken);

    public Task SeeAsync(long session, Instant now, CancellationToken cancellationToken) => engine.WriteAsync(
        unit => unit.ExecuteAsync("UPDATE page_session SET seen_at = @now WHERE id = @id AND seen_at < @now", ("@now", Stored.Ticks(now)), ("@id", session)),
        cancellationToken);

    public Task<IReadOnlyList<PageSession>> LoadSessionsAsync(string address, Instant now, CancellationToken cancellationToken) => engine.ReadAsync<IReadOnlyList<PageSession>>(
        async session => await session.ListAsync(MapSession, SessionColumns + " AND address = @address ORDER BY id DESC", ("@idle", Stored.Ticks(now - Idle)), ("@address", Plain(address))).ConfigureAwait(false),
        cancellationToken);

    public Task EndSessionsAsync(string address, long? session, Instant now, CancellationToken cancellationToken) => engine.WriteAsync(
        async unit =>
        {
            if (session is { } one)
            {
                await unit.ExecuteAsync("UPDATE page_session SET ended_at = @now WHERE address = @address AND ended_at IS NULL AND id = @id", ("@now", Stored.Ticks(now)), ("@address", Plain(address)), ("@id", one)).ConfigureAwait(false);
                return;
            }

            await EndAllAsync(unit, Plain(address), now).ConfigureAwait(false);
        },
        cancellationToken);

    public Task<Person?> FindAsync(string address, CancellationToken cancellationToken) => engine.ReadAsync(
        session => session.FirstAsync(
            reader => new Person(reader.GetString(0), reader.IsDBNull(1) ? null : reader.GetString(1), reader.InstantOrNull(2), reader.InstantOrNull(3)),
            session.Command("SELECT address, language, asked_at, confirmed_at FROM person WHERE address = @address", ("@address", Plain(address)))),
        cancellationToken);

    public Task SaveAsync(Person person, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(person);
        return engine.WriteAsync(session => SaveAsync(session, person), cancellationToken);
    }

    public Task DeleteAsync(string address, string? grower, IReadOnlyCollection<string> othersPlaces, CancellationToken cancellationToken) => engine.WriteAsync(
        async session =>
        {
            foreach (string table in (string[])["entry_link", "page_session", "page_mail", "person"])
            {
                await session.ExecuteAsync($"DELETE FROM {table} WHERE address = @address", ("@address", Plain(address))).ConfigureAwait(false);
            }

            await DropChangesAsync(session, Plain(address)).ConfigureAwait(false);

            if (grower is not null)
            {
                await GrowerErasing.EraseAsync(session, grower, othersPlaces).ConfigureAwait(false);
            }
        },
        cancellationToken);

    public Task<int> TidyAsync(Instant now, CancellationToken cancellationToken) => engine.WriteAsync(
        async session =>
        {
            int links = await session.ExecuteAsync("DELETE FROM entry_link WHERE ends_at < @day", ("@day", Stored.Ticks(now - Duration.FromDays(1)))).ConfigureAwait(false);
            int sessions = await session.ExecuteAsync("DELETE FROM page_session WHERE seen_at < @idle OR ended_at < @day", ("@idle", Stored.Ticks(now - Idle)), ("@day", Stored.Ticks(now - Duration.FromDays(1)))).ConfigureAwait(false);
            int mails = await session.ExecuteAsync("DELETE FROM page_mail WHERE useful_until < @day", ("@day", Stored.Ticks(now - Duration.FromDays(1)))).ConfigureAwait(false);
            return links + sessions + mails;
        },
        cancellationToken);

    /// <summary>Addresses are told apart without regard to case: nobody has two that differ only in it.</summary>
    internal static string Plain(string address)
    {
        ArgumentNullException.ThrowIfNull(address);
        return address.ToLowerInvariant();
    }

    internal static Task SaveAsync(SqlSession session, Person person) => session.ExecuteAsync(
        """
        INSERT INTO person (address, language, asked_at, confirmed_at) VALUES (@address, @language, @asked, @confirmed)
        ON CONFLICT (address) DO UPDATE SET language = excluded.language, asked_at = excluded.asked_at, confirmed_at = excluded.confirmed_at
        """,
        ("@address", Plain(person.Address)),
        ("@language", person.Language),
        ("@asked", Stored.Ticks(person.AskedAt)),
        ("@confirmed", Stored.Ticks(person.ConfirmedAt)));

    private async Task<bool> OfferAsync(SqlSession session, EntryLink link, PageMail mail, int most, Duration within)
    {
        string address = Plain(link.Address);
        await engine.LockAsync(session, "entry " + address).ConfigureAwait(false);
        long made = await session.NumberAsync(
            "SELECT count(*) FROM entry_link WHERE address = @address AND made_at > @since",
            ("@address", address),
            ("@since", Stored.Ticks(link.MadeAt - within))).ConfigureAwait(false) ?? 0;
        if (made >= most)
        {
            return false;
        }

        await session.ExecuteAsync(
            "INSERT INTO entry_link (hash, address, purpose, target, made_at, ends_at) VALUES (@hash, @address, @purpose, @target, @made, @ends)",
            ("@hash", link.Hash.ToArray()),
            ("@address", address),
            ("@purpose", Stored.Word(link.Purpose)),
            ("@target", link.Purpose == EntryPurpose.ChangeAddress ? Plain(link.Target) : link.Target),
            ("@made", Stored.Ticks(link.MadeAt)),
            ("@ends", Stored.Ticks(link.EndsAt))).ConfigureAwait(false);
        await PageMailRecords.KeepAsync(session, mail).ConfigureAwait(false);
        return true;
    }

    private static async Task<EntryLink?> EnterAsync(SqlSession unit, ReadOnlyMemory<byte> link, ReadOnlyMemory<byte> session, string device, Instant now)
    {
        if (await FindLinkAsync(unit, link, now, unit.ForUpdate).ConfigureAwait(false) is not { Purpose: not EntryPurpose.ChangeAddress } found)
        {
            return null;
        }

        await UseUpAsync(unit, link, now).ConfigureAwait(false);
        await OpenSessionAsync(unit, session, found.Address, device, now).ConfigureAwait(false);
        if (found.Purpose == EntryPurpose.Subscribe)
        {
            await unit.ExecuteAsync(
                """
                INSERT INTO person (address, asked_at, confirmed_at) VALUES (@address, @asked, @now)
                ON CONFLICT (address) DO UPDATE SET asked_at = excluded.asked_at, confirmed_at = excluded.confirmed_at
                """,
                ("@address", found.Address),
                ("@asked", Stored.Ticks(found.MadeAt)),
                ("@now", Stored.Ticks(now))).ConfigureAwait(false);
        }

        return found;
    }

    private async Task<EntryLink?> ChangeAddressAsync(SqlSession unit, ReadOnlyMemory<byte> link, ReadOnlyMemory<byte> session, string device, Instant now)
    {
        if (await FindLinkAsync(unit, link, now, unit.ForUpdate).ConfigureAwait(false) is not { Purpose: EntryPurpose.ChangeAddress } found)
        {
            return null;
        }

        (string before, string after) = (Plain(found.Target), Plain(found.Address));
        await engine.LockAsync(unit, "entry " + after).ConfigureAwait(false);
        await UseUpAsync(unit, link, now).ConfigureAwait(false);
        if (await unit.NumberAsync("SELECT grower_id FROM grower_detail WHERE lower(address) = @before", ("@before", before)).ConfigureAwait(false) is not { } grower
            || await unit.NumberAsync("SELECT grower_id FROM grower_detail WHERE lower(address) = @after", ("@after", after)).ConfigureAwait(false) is not null)
        {
            return null;
        }

        await unit.ExecuteAsync("UPDATE grower_detail SET address = @after WHERE grower_id = @grower", ("@after", after), ("@grower", grower)).ConfigureAwait(false);
        await unit.ExecuteAsync("UPDATE channel SET target = @after WHERE grower_id = @grower AND kind = @mail", ("@after", after), ("@grower", grower), ("@mail", GrowerChannelKinds.Mail)).ConfigureAwait(false);
        await unit.ExecuteAsync(
            """
            INSERT INTO person (address, language, asked_at, confirmed_at)
            SELECT @after, max(language), @asked, @now FROM person WHERE address = @before
            ON CONFLICT (address) DO UPDATE SET language = excluded.language, asked_at = excluded.asked_at, confirmed_at = excluded.confirmed_at
            """,
            ("@after", after),
            ("@before", before),
            ("@asked", Stored.Ticks(found.MadeAt)),
            ("@now", Stored.Ticks(now))).ConfigureAwait(false);
        await unit.ExecuteAsync("DELETE FROM person WHERE address = @before", ("@before", before)).ConfigureAwait(false);
        await EndAllAsync(unit, before, now).ConfigureAwait(false);
        await OpenSessionAsync(unit, session, after, device, now).ConfigureAwait(false);
        return found;
    }

    private static Task<int> UseUpAsync(SqlSession unit, ReadOnlyMemory<byte> link, Instant now) =>
        unit.ExecuteAsync("UPDATE entry_link SET used_at = @now WHERE hash = @hash", ("@now", Stored.Ticks(now)), ("@hash", link.ToArray()));

    private static Task<int> OpenSessionAsync(SqlSession unit, ReadOnlyMemory<byte> session, string address, string device, Instant now) => unit.ExecuteAsync(
        "INSERT INTO page_session (hash, address, device, opened_at, seen_at) VALUES (@hash, @address, @device, @now, @now)",
        ("@hash", session.ToArray()),
        ("@address", address),
        ("@device", device),
        ("@now", Stored.Ticks(now)));

    private static async Task EndAllAsync(SqlSession unit, string address, Instant now)
    {
        await unit.ExecuteAsync("UPDATE page_session SET ended_at = @now WHERE address = @address AND ended_at IS NULL", ("@now", Stored.Ticks(now)), ("@address", address)).ConfigureAwait(false);
        await DropChangesAsync(unit, address).ConfigureAwait(false);
    }

    // Links that would move the grower of this address elsewhere.
    private static Task<int> DropChangesAsync(SqlSession unit, string address) => unit.ExecuteAsync(
        "DELETE FROM entry_link WHERE purpose = @purpose AND target = @address AND used_at IS NULL",
        ("@purpose", Stored.Word(EntryPurpose.ChangeAddress)),
        ("@address", address));

    private static Task<EntryLink?> FindLinkAsync(SqlSession session, ReadOnlyMemory<byte> hash, Instant now, string suffix) => session.FirstAsync(
        reader => new EntryLink(hash, reader.GetString(0), reader.Word<EntryPurpose>(1), reader.GetString(2), reader.Instant(3), reader.Instant(4)),
        session.Command(
            "SELECT address, purpose, target, made_at, ends_at FROM entry_link WHERE hash = @hash AND used_at IS NULL AND ends_at > @now" + suffix,
            ("@hash", hash.ToArray()),
            ("@now", Stored.Ticks(now))));

    private static PageSession MapSession(DbDataReader reader) => new(reader.GetInt64(0), reader.GetString(1), reader.GetString(2), reader.Instant(3), reader.Instant(4));
}
