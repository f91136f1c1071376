using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using GraftWatch.Records;
using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Crash.Stores;

/// <summary>The program that is killed: seals letters and notes receipts, and says so on its output only after the store has.</summary>
internal static class StoreWriter
{
    public static async Task RunAsync(string path, int workers, bool fullSync, int pauseMs)
    {
        EndWithInput();
        await using SqliteStore store = await SqliteStore.OpenAsync(path, new SqliteStoreOptions { ReserveBytes = 0 }, CancellationToken.None);
        if (!fullSync)
        {
            await store.File.AloneAsync(
                connection =>
                {
                    SqliteFiles.Execute(connection, "PRAGMA synchronous = NORMAL;");
                    return true;
                },
                CancellationToken.None);
        }

        // What the program before left unfinished comes first, as in a real start.
        foreach (LedgerEntry left in await store.Ledger.LoadWaitingAsync(CancellationToken.None))
        {
            await AcceptAsync(store, left.Letter);
        }

        await Task.WhenAll(Enumerable.Range(0, workers).Select(worker => Task.Run(() => WorkAsync(store, $"G{worker}", pauseMs))));
    }

    public static async Task MigrateAndDieAsync(string path, int statement)
    {
        int seen = 0;
        var options = new SqliteStoreOptions { ReserveBytes = 0, BeforeMigrationStatement = (_, _) => DieAt(seen++, statement) };
        await using SqliteStore store = await SqliteStore.OpenAsync(path, options, CancellationToken.None);
        Console.Out.WriteLine(string.Create(CultureInfo.InvariantCulture, $"survived {seen}"));
    }

    private static void EndWithInput() => new Thread(() =>
    {
        while (Console.In.Read() >= 0)
        {
        }

        Environment.Exit(3);
    })
    { IsBackground = true }.Start();

    // Ends the process as a power switch would: no finally block runs, nothing is closed.
    private static void DieAt(int seen, int statement)
    {
        if (seen == statement)
        {
            using var self = System.Diagnostics.Process.GetCurrentProcess();
            self.Kill();
            Thread.Sleep(Timeout.Infinite);
        }
    }

    private static async Task WorkAsync(SqliteStore store, string grower, int pauseMs)
    {
        while (true)
        {
            int number = await store.Ledger.NextNumberAsync(grower, CancellationToken.None);
            var slot = new LetterSlot(grower, new LocalDate(2027, 1, 1).PlusDays(number - 1), LetterKind.Morning);
            byte[] bytes = Encoding.UTF8.GetBytes($"Subject: {number}\r\n\r\n{grower} {new string('x', 200 + (number * 37 % 4000))}\r\n");
            var letter = new SealedLetter(slot, number, $"{grower}.{number}@letters.example", "ada@example.org", $"No. {number}", bytes, Instant.FromUnixTimeSeconds(1_800_000_000 + number));
            if (!await store.Ledger.SealAsync(letter, CancellationToken.None))
            {
                Console.Out.WriteLine($"E {grower} {number} the slot was taken");
                return;
            }

            Say($"S {grower} {number} {Convert.ToHexStringLower(SHA256.HashData(bytes))}");
            await AcceptAsync(store, letter);
            if (pauseMs > 0)
            {
                await Task.Delay(pauseMs);
            }
        }
    }

    private static async Task AcceptAsync(SqliteStore store, SealedLetter letter)
    {
        await store.Ledger.RecordTryAsync(letter.Slot, DeliveryResult.Accepted("250 2.0.0 ok"), letter.SealedAt, CancellationToken.None);
        Say($"A {letter.Slot.Grower} {letter.Number}");
    }

    private static void Say(string line)
    {
        lock (Console.Out)
        {
            Console.Out.WriteLine(line);
            Console.Out.Flush();
        }
    }
}
