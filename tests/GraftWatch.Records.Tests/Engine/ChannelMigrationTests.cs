using System.Text;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Engine;

/// <summary>A store of a program that knew no channels is brought to channels without losing a letter, a try or a lease.</summary>
public abstract class ChannelMigrationTests
{
    private const int StepBefore = 3;

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    [Fact]
    public async Task Letters_tries_and_leases_of_an_older_store_are_the_same_afterwards()
    {
        await using StoreRig rig = MakeRig();
        await using (SqlEngine old = Engine(rig))
        {
            await Migrator(old, StepBefore).ApplyAsync(Sample.Morning, Stop);
            await old.WriteAsync(FillAsync, Stop);
            string before = await old.ReadAsync(ContentAsync, Stop);
            Assert.Contains("451 später", before, StringComparison.Ordinal);
            await Migrator(old, int.MaxValue).ApplyAsync(Sample.Morning, Stop);
            Assert.Equal(before, await old.ReadAsync(ContentAsync, Stop));
        }

        RecordsStore store = await rig.OpenAsync();
        await using (store)
        {
            LedgerEntry first = (await store.Ledger.FindAsync(Sample.Slot(), Stop))!;
            Assert.Equal((LetterSlot.Mail, LetterState.Accepted, 2, null), (first.Letter.Slot.Channel, first.State, first.Tries, first.Letter.UsefulUntil));
            Assert.Equal([Sample.Slot(date: Sample.Day.PlusDays(1))], await store.Claims.TakeBackAsync("east", Sample.Morning, Stop));
            Assert.False(await store.Ledger.SealAsync(Sample.Letter(Sample.Slot() with { Channel = "phone" }, 3), Stop));
            Assert.True(await store.Ledger.SealAsync(Sample.Letter(Sample.Slot(date: Sample.Day.PlusDays(2)) with { Channel = "phone" }, 3), Stop));
            Assert.Equal(new Rounds.Urgent.UrgentWishes(), Assert.Single(await store.Book.LoadGrowersAsync(Stop)).Wishes);
        }
    }

    [Fact]
    public async Task Sealed_bytes_stay_sealed_and_tries_still_go_with_their_letter()
    {
        await using StoreRig rig = MakeRig();
        await using SqlEngine engine = Engine(rig);
        await Migrator(engine, StepBefore).ApplyAsync(Sample.Morning, Stop);
        await engine.WriteAsync(FillAsync, Stop);
        await Migrator(engine, int.MaxValue).ApplyAsync(Sample.Morning, Stop);

        foreach (string column in (string[])["subject = 'x'", "channel = 'x'", "useful_until = 1", "number = 9"])
        {
            var refused = await Assert.ThrowsAnyAsync<System.Data.Common.DbException>(() => engine.WriteAsync(session => session.ExecuteAsync($"UPDATE letter SET {column}"), Stop));
            Assert.Contains("a sealed letter never changes", refused.Message, StringComparison.Ordinal);
        }

        await Assert.ThrowsAnyAsync<System.Data.Common.DbException>(() => engine.WriteAsync(
            session => session.ExecuteAsync("INSERT INTO letter_try (letter_id, number, at, outcome, reason, detail) VALUES (99, 1, 1, 'accepted', 'none', '')"), Stop));
        await engine.WriteAsync(session => session.ExecuteAsync("DELETE FROM letter"), Stop);
        Assert.Equal(0, await engine.ReadAsync(session => session.NumberAsync("SELECT count(*) FROM letter_try"), Stop));
    }

    private protected abstract SqlEngine Engine(StoreRig rig);

    protected abstract StoreRig MakeRig();

    private static Migrator Migrator(SqlEngine engine, int steps) => new(engine, [.. Migration.Shipped(engine.Name).Take(steps)]);

    private static async Task FillAsync(SqlSession session)
    {
        await session.ExecuteAsync("INSERT INTO grower (id, name, last_number) VALUES (7, @name, 2)", ("@name", Sample.Grower));
        await session.ExecuteAsync("INSERT INTO grower_detail (grower_id, address, zone, letter_time, units) VALUES (7, 'ada@example.org', 'Europe/Berlin', '06:30:00', 'metric')");
        for (int number = 1; number <= 2; number++)
        {
            SealedLetter letter = Sample.Letter(Sample.Slot(date: Sample.Day.PlusDays(number - 1)), number);
            byte[] bytes = letter.Bytes.ToArray();
            await session.ExecuteAsync(
                """
                INSERT INTO letter (id, grower_id, local_date, kind, ordinal, number, message_id, recipient, subject, bytes, bytes_hash, sealed_at, state, tries, last_try_at, last_detail, next_try_at, claim_owner, claim_epoch, claim_until, started_at)
                VALUES (@id, 7, @date, 'morning', 0, @number, @message, @recipient, @subject, @bytes, @hash, @at, @state, 2, @at, 'ok', @next, @owner, 5, @until, @until)
                """,
                ("@id", 40 + number),
                ("@date", Stored.Date(letter.Slot.Date)),
                ("@number", number),
                ("@message", letter.MessageId),
                ("@recipient", letter.Recipient),
                ("@subject", letter.Subject),
                ("@bytes", bytes),
                ("@hash", System.Security.Cryptography.SHA256.HashData(bytes)),
                ("@at", Stored.Ticks(letter.SealedAt)),
                ("@state", number == 1 ? "accepted" : "waiting"),
                ("@next", number == 1 ? null : Stored.Ticks(letter.SealedAt + Duration.FromMinutes(5))),
                ("@owner", number == 1 ? string.Empty : "east"),
                ("@until", number == 1 ? null : Stored.Ticks(letter.SealedAt)));
            for (int one = 1; one <= 2; one++)
            {
                await session.ExecuteAsync(
                    "INSERT INTO letter_try (letter_id, number, at, outcome, reason, detail) VALUES (@letter, @number, @at, 'try-later', 'server-busy', '451 später')",
                    ("@letter", 40 + number),
                    ("@number", one),
                    ("@at", Stored.Ticks(letter.SealedAt) + one));
            }
        }
    }

    // By plain SQL over what both steps have, so that the code under test does not judge itself.
    private static async Task<string> ContentAsync(SqlSession session)
    {
        var text = new StringBuilder();
        foreach (string sql in (string[])
        [
            "SELECT id, grower_id, local_date, kind, ordinal, number, message_id, recipient, subject, bytes, bytes_hash, sealed_at, state, tries, last_try_at, last_detail, next_try_at, claim_owner, claim_epoch, claim_until, started_at FROM letter ORDER BY id",
            "SELECT letter_id, number, at, outcome, reason, detail FROM letter_try ORDER BY letter_id, number",
            "SELECT id, name, last_number FROM grower ORDER BY id",
            "SELECT grower_id, address, zone, letter_time, units FROM grower_detail ORDER BY grower_id",
        ])
        {
            List<string> rows = await session.ListAsync(
                reader => string.Join('|', Enumerable.Range(0, reader.FieldCount).Select(i => reader.GetValue(i) is byte[] bytes ? Convert.ToHexString(bytes) : reader.GetValue(i).ToString())),
                sql);
            text.AppendLine(sql).AppendJoin('\n', rows).AppendLine();
        }

        return text.ToString();
    }
}

public sealed class SqliteChannelMigrationTests : ChannelMigrationTests
{
    private protected override SqlEngine Engine(StoreRig rig) => SqliteEngine.Open(((SqliteRig)rig).File, new SqliteStoreOptions());

    protected override StoreRig MakeRig() => new SqliteRig();
}

public sealed class PostgresChannelMigrationTests : ChannelMigrationTests
{
    private protected override SqlEngine Engine(StoreRig rig) => new PostgresEngine(((PostgresRig)rig).ConnectionString);

    protected override StoreRig MakeRig() => new PostgresRig();
}
