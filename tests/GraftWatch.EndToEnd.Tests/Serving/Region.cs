using System.Diagnostics;
using System.Globalization;
using GraftWatch.CommandLine;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using GraftWatch.Testing.FakeForecastApi;
using GraftWatch.Testing.Mail;
using NodaTime;
using Npgsql;

namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>A PostgreSQL server or a file store, growers, weather and mail for programs that share them, each a process of its own.</summary>
/// <remarks>
/// The zone is chosen so that it is morning there now, whatever the hour of the test: every grower's letter is due at the
/// start. The mail server takes its time, so that a daemon can be hit in the middle of its morning.
/// </remarks>
internal sealed class Region : IAsyncDisposable
{
    private static readonly TimeSpan ReceiptLimit = TimeSpan.FromSeconds(60);
    private readonly string folder = Directory.CreateTempSubdirectory("graftwatch-region-").FullName;
    private readonly string? database;
    private readonly int growers;
    private readonly FakeForecastServer weather;
    private readonly LoopbackMailServer mail;

    private Region(string? database, int growers, FakeForecastServer weather, LoopbackMailServer mail)
    {
        this.database = database;
        this.growers = growers;
        this.weather = weather;
        this.mail = mail;
    }

    internal static async Task<Region> StartAsync(int growers, int mailMs, bool fileStore = false)
    {
        string? database = fileStore ? null : PostgresServer.SharedOrSkip().CreateDatabase();
        FakeForecastServer weather = await FakeForecastServer.StartAsync(SystemClock.Instance.GetCurrentInstant(), TestContext.Current.CancellationToken);
        var region = new Region(database, growers, weather, LoopbackMailServer.Start(new LoopbackMailOptions { TextTakes = TimeSpan.FromMilliseconds(mailMs) }));
        region.WriteSettings();
        File.Copy(Repository.PathOf("src", "GraftWatch", "Demo", "register.csv"), Path.Combine(region.folder, "register.csv"));
        return region;
    }

    /// <summary>Holds the forecast back, so that daemons come together before any of them can make a round.</summary>
    internal void WeatherOpens(Task opens) => weather.Opens = opens;

    internal ServeProcess Serve() => ServeProcess.Start(folder);

    /// <summary>Runs <c>round --send</c> for a grower as this process, beside daemons that are others.</summary>
    internal async Task<(int Code, string Messages)> SendByHandAsync(int grower)
    {
        using var results = new StringWriter();
        using var messages = new StringWriter();
        int code = await GraftWatchCommand.RunAsync(
            ["round", "--config", folder, "--grower", Name(grower), "--send"], new Terminal(results, messages, TimeProvider.System, folder), TestContext.Current.CancellationToken);
        return (code, messages.ToString());
    }

    internal async Task ReceivedAsync(int letters, TimeSpan limit, params ServeProcess[] daemons)
    {
        var waited = Stopwatch.StartNew();
        while (Recipients().Distinct().Count() < letters)
        {
            Assert.True(waited.Elapsed < limit, $"{Recipients().Distinct().Count()} of {letters} letters came within {limit.TotalSeconds:F0} s.\n{string.Join("\n----\n", daemons.Select(daemon => daemon.AllLog))}");
            await Task.Delay(50, TestContext.Current.CancellationToken);
        }
    }

    /// <summary>Waits until the server has so many texts whole, answered or not.</summary>
    internal async Task OnTheServerAsync(int letters, TimeSpan limit, ServeProcess daemon)
    {
        var waited = Stopwatch.StartNew();
        while (mail.Whole < letters)
        {
            Assert.True(waited.Elapsed < limit, $"{mail.Whole} letters came whole.\n{daemon.AllLog}");
            await Task.Delay(20, TestContext.Current.CancellationToken);
        }
    }

    internal Task AllReceivedAsync(TimeSpan limit, params ServeProcess[] daemons) => ReceivedAsync(growers, limit, daemons);

    /// <summary>Letters that are, by the store, on some daemon's line to the mail server and have no receipt.</summary>
    internal async Task<IReadOnlySet<string>> OnTheLineAsync() =>
        (await QueryAsync("SELECT g.name FROM letter l JOIN grower g ON g.id = l.grower_id WHERE l.state = 'waiting' AND l.started_at IS NOT NULL")).ToHashSet();

    /// <summary>Every grower has one letter, accepted, in a slot that was taken once.</summary>
    /// <param name="onTheLine">Growers whose letter a daemon had on its line without a receipt when it was killed: the server may have had it whole, so a second copy of the same bytes may have come, and the store tells of the doubt.</param>
    internal async Task AssertOneEachAsync(IReadOnlySet<string>? onTheLine = null)
    {
        await using RecordsStore store = await OpenStoreAsync();
        LocalDate today = SystemClock.Instance.GetCurrentInstant().InZone(Zone()).Date;
        var waited = Stopwatch.StartNew();
        for (int grower = 0; grower < growers; grower++)
        {
            LedgerEntry entry = (await store.Ledger.FindAsync(new LetterSlot(Name(grower), today, LetterKind.Morning), TestContext.Current.CancellationToken))!;
            while (entry.State == LetterState.Waiting && waited.Elapsed < ReceiptLimit)
            {
                await Task.Delay(50, TestContext.Current.CancellationToken);
                entry = (await store.Ledger.FindAsync(entry.Letter.Slot, TestContext.Current.CancellationToken))!;
            }

            Assert.True(entry.State == LetterState.Accepted, $"{Name(grower)}: {entry.State}, {entry.LastDetail}");
            Assert.Equal(1, entry.Letter.Number);
        }

        string[] twice = [.. Enumerable.Range(0, growers).Where(grower => Copies(grower).Length > 1).Select(Name)];
        Assert.Subset((onTheLine ?? new HashSet<string>()).ToHashSet(), twice.ToHashSet());
        if (twice.Length > 0)
        {
            IReadOnlyList<string> doubted = await QueryAsync("SELECT DISTINCT g.name FROM letter_try t JOIN letter l ON l.id = t.letter_id JOIN grower g ON g.id = l.grower_id WHERE t.outcome = 'unknown'");
            Assert.Subset(doubted.ToHashSet(), twice.ToHashSet());
        }

        Assert.All(Enumerable.Range(0, growers).Select(Copies), copies =>
        {
            Assert.InRange(copies.Length, 1, 2);
            Assert.All(copies, copy => Assert.Equal(copies[0].Bytes, copy.Bytes));
        });
    }

    public async ValueTask DisposeAsync()
    {
        await mail.DisposeAsync();
        await weather.DisposeAsync();
        Directory.Delete(folder, recursive: true);
    }

    private ReceivedLetter[] Copies(int grower) => [.. mail.Received.Where(letter => letter.Recipients.Contains(Address(grower)))];

    // Plain SQL on the server, past the product.
    private async Task<IReadOnlyList<string>> QueryAsync(string sql)
    {
        await using var connection = new NpgsqlConnection(database);
        await connection.OpenAsync(TestContext.Current.CancellationToken);
        await using var command = new NpgsqlCommand(sql, connection);
        await using NpgsqlDataReader reader = await command.ExecuteReaderAsync(TestContext.Current.CancellationToken);
        var names = new List<string>();
        while (await reader.ReadAsync(TestContext.Current.CancellationToken))
        {
            names.Add(reader.GetString(0));
        }

        return names;
    }

    private static string Address(int grower) => string.Create(CultureInfo.InvariantCulture, $"grower{grower + 1}@region.example");

    private static string Name(int grower) => string.Create(CultureInfo.InvariantCulture, $"Grower {grower + 1}");

    // About eight in the morning: the letter hour of seven has passed, the too-late hour is far.
    private static DateTimeZone Zone()
    {
        int utcHour = SystemClock.Instance.GetCurrentInstant().InUtc().Hour;
        int east = utcHour > 20 ? 32 - utcHour : 8 - utcHour;
        return DateTimeZoneProviders.Tzdb[string.Create(CultureInfo.InvariantCulture, $"Etc/GMT{(east > 0 ? "-" : "+")}{Math.Abs(east)}")];
    }

    private async Task<RecordsStore> OpenStoreAsync() => database is null
        ? await SqliteStore.OpenAsync(Path.Combine(folder, "data", "graftwatch.db"), new SqliteStoreOptions(), TestContext.Current.CancellationToken)
        : await PostgresStore.OpenAsync(database, TimeProvider.System, TestContext.Current.CancellationToken);

    private IEnumerable<string> Recipients() => mail.Received.SelectMany(letter => letter.Recipients);

    private void WriteSettings()
    {
        string each = string.Concat(Enumerable.Range(0, growers).Select(grower => string.Create(
            CultureInfo.InvariantCulture,
            $"""
            [[grower]]
            name = "{Name(grower)}"
            address = "{Address(grower)}"
            letter_hour = "07:00"
            register = "register.csv"


            """)));
        File.WriteAllText(
            Path.Combine(folder, "graftwatch.toml"),
            string.Create(
                CultureInfo.InvariantCulture,
                $"""
                data_folder = "data"

                [[place]]
                name = "Sorrel Bank"
                latitude = 48.02
                longitude = 9.06
                elevation = "465 m"
                zone = "{Zone().Id}"

                {each}
                [mail]
                host = "127.0.0.1"
                port = {mail.Port}
                security = "plain"
                from = "graftwatch@region.example"

                [weather]
                address = "{weather.Url}"
                {StoreTable()}
                """));
    }

    private string StoreTable()
    {
        if (database is null)
        {
            return string.Empty;
        }

        var server = new NpgsqlConnectionStringBuilder(database);
        return string.Create(
            CultureInfo.InvariantCulture,
            $"""

            [store]
            kind = "postgresql"
            host = "{server.Host}"
            port = {server.Port}
            database = "{server.Database}"
            user = "{server.Username}"
            security = "plain"
            """);
    }
}
