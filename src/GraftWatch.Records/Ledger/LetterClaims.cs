using System.Globalization;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Growers;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Ledger;

/// <summary>Leases on waiting letters.</summary>
internal sealed class LetterClaims(SqlEngine engine) : ILetterClaims
{
    /// <summary>A letter that was being handed over rests this much longer than its lease, which its holder renews as long as it lives: the receipt may be on its way to the store.</summary>
    public static readonly Duration DoubtPause = Duration.FromSeconds(5);

    // A last try further ahead than machines disagree: the clock was set back, and must not hold the letter until it has caught up.
    private static readonly Duration ClockWentBack = Duration.FromHours(1);

    // A holder that is there but let its lease run out stands still with the letter on the line; it may have arrived, and the receipt comes when it wakes.
    private static readonly Duration FrozenPause = Duration.FromMinutes(15);

    private const string Stopped = "EXISTS (SELECT 1 FROM grower_stop s WHERE s.grower_id = letter.grower_id)";

    private static readonly DeliveryResult InDoubt = new(
        DeliveryOutcome.Unknown,
        DeliveryReason.Connection,
        "the worker ended while it was handing the letter over; it may or may not have arrived");

    private string Free => "(claim_owner = '' OR claim_until + CASE WHEN started_at IS NULL THEN 0 WHEN " + engine.HolderIsThere + " THEN @frozen ELSE @doubt END < @clock)";

    public async Task<IReadOnlyList<ClaimedLetter>> ClaimAsync(string owner, ClaimWish wish, Duration lease, Instant now, CancellationToken cancellationToken)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(owner);
        ArgumentNullException.ThrowIfNull(wish);
        await engine.ShowPresenceAsync(owner, cancellationToken).ConfigureAwait(false);
        List<(LoadedLetter Letter, long Epoch)> claimed = await engine.WriteAsync(session => ClaimAsync(session, owner, wish, lease, now), cancellationToken).ConfigureAwait(false);
        return claimed.Where(one => one.Letter.Sound).Select(one => new ClaimedLetter(one.Letter.Entry, owner, one.Epoch)).ToArray();
    }

    public Task<bool> StartAsync(ClaimedLetter claim, Duration lease, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(claim);
        return engine.WriteAsync(
            async session =>
            {
                long clock = await engine.LeaseClockAsync(session).ConfigureAwait(false);
                return await session.ExecuteAsync(
                    """
                    UPDATE letter SET started_at = @clock, claim_until = @until
                    WHERE id = (SELECT l.id FROM letter l JOIN grower g ON g.id = l.grower_id WHERE
                    """ + " " + LetterRows.IsSlot + ") AND state = 'waiting' AND claim_owner = @owner AND claim_epoch = @epoch AND claim_until >= @clock",
                    [("@clock", clock), ("@until", clock + lease.BclCompatibleTicks), ("@owner", claim.Owner), ("@epoch", claim.Epoch), .. LetterRows.Key(claim.Entry.Letter.Slot)]).ConfigureAwait(false) == 1;
            },
            cancellationToken);
    }

    public Task ShowPresenceAsync(string owner, CancellationToken cancellationToken) => engine.ShowPresenceAsync(owner, cancellationToken);

    public Task<bool> FinishAsync(ClaimedLetter claim, DeliveryResult result, Instant at, Instant? nextTryAt, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(claim);
        ArgumentNullException.ThrowIfNull(result);
        return engine.WriteReceiptAsync(
            async session =>
            {
                Held held = await session.FirstAsync(
                    reader => new Held(reader.GetInt64(0), reader.Word<LetterState>(1), reader.Whole(2), reader.GetString(3), reader.GetInt64(4)),
                    session.Command(
                        "SELECT l.id, l.state, l.tries, l.claim_owner, l.claim_epoch FROM letter l JOIN grower g ON g.id = l.grower_id WHERE " + LetterRows.IsSlot + session.ForUpdate,
                        LetterRows.Key(claim.Entry.Letter.Slot))).ConfigureAwait(false)
                    ?? throw new InvalidOperationException("The claimed letter is gone from the store.");
                bool mine = held.Owner == claim.Owner && held.Epoch == claim.Epoch;
                if (!mine && result.Outcome != DeliveryOutcome.Accepted)
                {
                    return false;
                }

                await LetterLedger.RecordTryAsync(session, held.Id, held.State, held.Tries, result, at).ConfigureAwait(false);
                if (mine)
                {
                    await session.ExecuteAsync(
                        "UPDATE letter SET claim_owner = '', claim_until = NULL, started_at = NULL, next_try_at = @next WHERE id = @id",
                        ("@next", Stored.Ticks(nextTryAt)),
                        ("@id", held.Id)).ConfigureAwait(false);
                }

                return true;
            },
            cancellationToken);
    }

    public Task LetGoAsync(IReadOnlyList<ClaimedLetter> claims, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(claims);
        return engine.WriteAsync(
            session => session.ExecuteManyAsync(
                """
                UPDATE letter SET claim_owner = '', claim_until = NULL
                WHERE id = (SELECT l.id FROM letter l JOIN grower g ON g.id = l.grower_id WHERE
                """ + " " + LetterRows.IsSlot + ") AND claim_owner = @owner AND claim_epoch = @epoch AND started_at IS NULL",
                claims,
                claim => [("@owner", claim.Owner), ("@epoch", claim.Epoch), .. LetterRows.Key(claim.Entry.Letter.Slot)]),
            cancellationToken);
    }

    public Task<IReadOnlyList<LedgerEntry>> GiveUpUselessAsync(Instant now, int most, CancellationToken cancellationToken) =>
        engine.WriteAsync<IReadOnlyList<LedgerEntry>>(
            async session =>
            {
                long clock = await engine.LeaseClockAsync(session).ConfigureAwait(false);
                List<(long Id, bool Stopped)> useless = await session.ListAsync(
                    reader => (reader.GetInt64(0), reader.Flag(1)),
                    "SELECT id, CAST(CASE WHEN " + Stopped + " THEN 1 ELSE 0 END AS BIGINT) FROM letter WHERE state = 'waiting' AND (" + LetterRows.UselessFrom + " <= @now OR " + Stopped + ") AND " + Free + " ORDER BY sealed_at, id LIMIT @most" + session.SkipLocked,
                    ("@now", Stored.Ticks(now)),
                    ("@doubt", DoubtPause.BclCompatibleTicks),
                    ("@frozen", FrozenPause.BclCompatibleTicks),
                    ("@clock", clock),
                    ("@most", most)).ConfigureAwait(false);
                var given = new List<LedgerEntry>(useless.Count);
                foreach ((long id, bool stopped) in useless)
                {
                    LedgerEntry before = (await LoadAsync(session, id).ConfigureAwait(false)).Entry;
                    DeliveryResult why = stopped ? GrowerStops.NotSent : new DeliveryResult(DeliveryOutcome.GiveUp, DeliveryReason.TooLate, WhyUseless(before));
                    await LetterLedger.RecordTryAsync(session, id, before.State, before.Tries, why, now).ConfigureAwait(false);
                    given.Add((await LoadAsync(session, id).ConfigureAwait(false)).Entry);
                }

                return given;
            },
            cancellationToken);

    public Task<IReadOnlyList<LetterSlot>> TakeBackAsync(string owner, Instant now, CancellationToken cancellationToken) =>
        engine.WriteAsync<IReadOnlyList<LetterSlot>>(
            async session =>
            {
                List<LoadedLetter> started = await session.ListAsync(
                    LetterRows.Map,
                    LetterRows.Select + " WHERE l.claim_owner = @owner AND l.started_at IS NOT NULL AND l.state = 'waiting' ORDER BY l.id",
                    ("@owner", owner)).ConfigureAwait(false);
                foreach (LoadedLetter letter in started)
                {
                    await LetterLedger.RecordTryAsync(session, letter.Id, letter.Entry.State, letter.Entry.Tries, InDoubt, now).ConfigureAwait(false);
                }

                await session.ExecuteAsync(
                    "UPDATE letter SET claim_owner = '', claim_until = NULL, started_at = NULL WHERE claim_owner = @owner AND state = 'waiting'",
                    ("@owner", owner)).ConfigureAwait(false);
                return started.Select(letter => letter.Entry.Letter.Slot).ToArray();
            },
            cancellationToken);

    private static async Task<LoadedLetter> LoadAsync(SqlSession session, long id) =>
        (await session.FirstAsync(LetterRows.Map, session.Command(LetterRows.Select + " WHERE l.id = @id", ("@id", id))).ConfigureAwait(false))!;

    private static string WhyUseless(LedgerEntry entry) => entry.Tries == 0
        ? "It could not be handed over before it lost its use."
        : string.Create(CultureInfo.InvariantCulture, $"Too late after {entry.Tries} tries; the last one said: {entry.LastDetail}");

    // Channel names are values, never text of the statement.
    private static (string Sql, List<(string Name, object? Value)> Values) Wanted(ClaimWish wish, Instant now)
    {
        var values = new List<(string Name, object? Value)>();
        string sql;
        if (wish.Occasion is { } occasion)
        {
            sql = " AND grower_id = (SELECT id FROM grower WHERE name = @grower) AND local_date = @date AND kind = @kind AND ordinal = @ordinal";
            values.AddRange(LetterRows.OccasionKey(occasion));
        }
        else
        {
            sql = " AND (next_try_at IS NULL OR next_try_at <= @now OR last_try_at > @ahead)";
            values.Add(("@ahead", Stored.Ticks(now + ClockWentBack)));
        }

        if (wish.Only is { } only)
        {
            sql += " AND channel = @only";
            values.Add(("@only", only));
        }

        foreach ((int index, string except) in wish.Except.Index())
        {
            string name = string.Create(CultureInfo.InvariantCulture, $"@except{index}");
            sql += " AND channel <> " + name;
            values.Add((name, except));
        }

        return (sql, values);
    }

    private async Task<List<(LoadedLetter Letter, long Epoch)>> ClaimAsync(SqlSession session, string owner, ClaimWish wish, Duration lease, Instant now)
    {
        (string wanted, List<(string Name, object? Value)> values) = Wanted(wish, now);
        long clock = await engine.LeaseClockAsync(session).ConfigureAwait(false);
        List<(long Id, long Epoch, bool Doubt, int Tries)> rows = await session.ListAsync(
            reader => (reader.GetInt64(0), reader.GetInt64(1), !reader.IsDBNull(2), reader.Whole(3)),
            """
            WITH due AS MATERIALIZED (
                SELECT id FROM letter
                WHERE state = 'waiting' AND
            """ + " " + LetterRows.UselessFrom + " > @now AND NOT " + Stopped + " AND " + Free + wanted + " ORDER BY CASE WHEN kind = 'urgent' THEN 0 ELSE 1 END, sealed_at, id LIMIT @most" + session.SkipLocked + """
            )
            UPDATE letter SET claim_owner = @owner, claim_epoch = claim_epoch + 1, claim_until = @until
            WHERE id IN (SELECT id FROM due) RETURNING id, claim_epoch, started_at, tries
            """,
            [
                ("@now", Stored.Ticks(now)),
                ("@doubt", DoubtPause.BclCompatibleTicks),
                ("@frozen", FrozenPause.BclCompatibleTicks),
                ("@clock", clock),
                ("@most", wish.Most),
                ("@owner", owner),
                ("@until", clock + lease.BclCompatibleTicks),
                .. values,
            ]).ConfigureAwait(false);
        var claimed = new List<(LoadedLetter Letter, long Epoch)>(rows.Count);
        foreach ((long id, long epoch, bool doubt, int tries) in rows)
        {
            if (doubt)
            {
                await LetterLedger.RecordTryAsync(session, id, LetterState.Waiting, tries, InDoubt, now).ConfigureAwait(false);
                await session.ExecuteAsync("UPDATE letter SET started_at = NULL WHERE id = @id", ("@id", id)).ConfigureAwait(false);
            }

            claimed.Add((await LoadAsync(session, id).ConfigureAwait(false), epoch));
        }

        await LetterRows.SetAsideAsync(session, [.. claimed.Where(one => !one.Letter.Sound).Select(one => one.Letter.Id)]).ConfigureAwait(false);
        return claimed
            .OrderBy(one => one.Letter.Entry.Letter.Slot.Kind == LetterKind.Urgent ? 0 : 1)
            .ThenBy(one => one.Letter.Entry.Letter.SealedAt)
            .ThenBy(one => one.Letter.Id)
            .ToList();
    }

    private sealed record Held(long Id, LetterState State, int Tries, string Owner, long Epoch);
}
