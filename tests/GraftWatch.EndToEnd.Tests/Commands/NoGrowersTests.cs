using System.Globalization;
using System.Net;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.EndToEnd.Tests.Serving;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Commands;

/// <summary>Settings with pages and without a grower or a place: nobody has subscribed yet, or all did so on the pages.</summary>
public sealed class NoGrowersTests : IDisposable
{
    private static readonly string Demo = Repository.PathOf("src", "GraftWatch", "Demo");
    private static readonly TimeSpan Limit = TimeSpan.FromSeconds(60);
    private readonly CommandRun run = new();

    public NoGrowersTests()
    {
        Directory.CreateDirectory(Path.Combine(run.Folder, "config"));
        run.Write("config/graftwatch.toml", Settings());
        File.Copy(Path.Combine(Demo, "register.csv"), Path.Combine(run.Folder, "register.csv"));
        File.Copy(Path.Combine(Demo, "weather.json"), Path.Combine(run.Folder, "weather.json"));
        run.Clock.AdjustTime(new DateTimeOffset(2026, 5, 12, 3, 0, 0, TimeSpan.Zero));
    }

    public void Dispose() => run.Dispose();

    [Theory]
    [InlineData("round")]
    [InlineData("round --grower Mara")]
    [InlineData("round --send")]
    [InlineData("round --weather weather.json")]
    [InlineData("round --grafts register.csv")]
    [InlineData("explain --graft A1-01")]
    [InlineData("export")]
    [InlineData("export --grower Mara")]
    [InlineData("import register.csv")]
    [InlineData("observe --list")]
    [InlineData("observe A1-01 dead")]
    [InlineData("check --effective --graft A1-01")]
    [InlineData("replay --weather archive --from 2026-04-01 --to 2026-04-20")]
    public async Task A_command_about_one_grower_says_that_there_is_none_and_what_to_do(string line)
    {
        Assert.Equal(2, await run.RunAsync(line.Split(' ')));
        Assert.Contains("There are no growers yet", run.Messages, StringComparison.Ordinal);
        Assert.Contains("subscribe on the pages", run.Messages, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("backup")]
    [InlineData("export --archive all.json")]
    [InlineData("check --effective")]
    [InlineData("round --weather weather.json --grafts register.csv")]
    [InlineData("explain --graft A1-01 --weather weather.json --grafts register.csv")]
    public async Task A_command_about_the_whole_works_without_growers(string line) =>
        Assert.True(await run.RunAsync(line.Split(' ')) == 0, run.Messages);

    [Fact]
    public async Task An_archive_goes_into_an_installation_without_growers()
    {
        Assert.Equal(0, await run.RunAsync("export", "--archive", "all.json"));
        Directory.Delete(Path.Combine(run.Folder, "config", "data"), recursive: true);
        Assert.True(await run.RunAsync("import", "all.json") == 0, run.Messages);
        Assert.Contains("0 growers", run.Results, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_copy_goes_back_into_an_installation_without_growers()
    {
        Assert.Equal(0, await run.RunAsync("backup", "--to", "copy.db"));
        Assert.True(await run.RunAsync("restore", "copy.db") == 0, run.Messages);
    }

    [Fact]
    public async Task The_check_says_that_nobody_gets_letters_yet()
    {
        await run.RunAsync("check", "--only", "register");
        Assert.Contains("No growers yet: nobody gets letters.", run.Results, StringComparison.Ordinal);
        Assert.Contains("subscribe on the pages", run.Results, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Every_check_ends_without_growers_and_places()
    {
        await run.RunAsync("check", "--json");
        Assert.StartsWith("{", run.Results, StringComparison.Ordinal);
        Assert.DoesNotContain("Exception", run.Results + run.Messages, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_daemon_serves_its_pages_is_ready_and_ends_well()
    {
        int pages = LoopbackMailServer.FreePort(), watch = LoopbackMailServer.FreePort();
        string folder = Path.Combine(run.Folder, "config");
        await using ServeProcess serve = ServeProcess.Start(folder, string.Create(CultureInfo.InvariantCulture, $"127.0.0.1:{watch}"), listen: string.Create(CultureInfo.InvariantCulture, $"127.0.0.1:{pages}"));
        using var http = new HttpClient { Timeout = Limit };
        await serve.SaysAsync("Serving. Growers: 0. Places: 0.", Limit);
        Assert.Equal("ready", (await AskAsync(http, $"http://127.0.0.1:{watch}/ready", "ready")).Trim());
        using HttpResponseMessage page = await http.GetAsync(new Uri($"http://127.0.0.1:{pages}/"), TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.OK, page.StatusCode);
        Assert.Contains("graftwatch_growers 0", await http.GetStringAsync(new Uri($"http://127.0.0.1:{watch}/metrics"), TestContext.Current.CancellationToken), StringComparison.Ordinal);
        Assert.Equal(0, await serve.EndAsync());
        Assert.DoesNotContain(serve.Log, line => line.StartsWith("fail", StringComparison.Ordinal) || line.Contains(" fail: ", StringComparison.Ordinal) || line.Contains("Exception", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_grower_of_the_pages_is_known_to_every_command()
    {
        await SubscribedAsync("Mara");
        await FineAsync("import register.csv");
        await FineAsync("observe B2-01 dead --on 2026-05-11 --grower mara");
        await FineAsync("observe --list");
        Assert.Contains("dead", run.Results, StringComparison.Ordinal);
        await FineAsync("export");
        Assert.Contains("B2-01", run.Results, StringComparison.Ordinal);
        await FineAsync("round --weather weather.json --date 2026-05-12 --json");
        Assert.Contains("\"stage\": \"failed\"", run.Results, StringComparison.Ordinal);
        await FineAsync("explain --graft A1-01 --weather weather.json --format csv");
        await FineAsync("check --effective --graft A1-01");
        await run.RunAsync("check", "--only", "register");
        Assert.Contains("1 grower of the pages; next letter 2026-05-12 05:30 Europe/Berlin", run.Results, StringComparison.Ordinal);
        Assert.Equal(2, await run.RunAsync("export", "--grower", "Otto"));
        Assert.Contains("no grower named Otto; there is Mara.", run.Messages, StringComparison.Ordinal);
    }

    [Fact]
    public async Task After_a_copy_is_put_back_today_stays_closed_also_where_only_the_store_knows_the_zone()
    {
        // 20:00 UTC is the morning of the thirteenth in Auckland; its letter may have gone out after the copy was made.
        run.Clock.AdjustTime(new DateTimeOffset(2026, 5, 12, 20, 0, 0, TimeSpan.Zero));
        await SubscribedAsync("Aroha", "Pacific/Auckland");
        await FineAsync("backup --to copy.db");
        await FineAsync("restore copy.db");
        await using SqliteStore store = await OpenAsync();
        Assert.True((await store.Ledger.LookAsync("Aroha", new LocalDate(2026, 5, 13), LetterKind.Morning, TestContext.Current.CancellationToken)).IsClosed);
        Assert.False((await store.Ledger.LookAsync("Aroha", new LocalDate(2026, 5, 14), LetterKind.Morning, TestContext.Current.CancellationToken)).IsClosed);
    }

    private static string Settings() =>
        """
        data_folder = "data"

        [page]
        subscriptions = true

        [mail]
        host = "127.0.0.1"
        port = 2525
        security = "plain"
        from = "graftwatch@sorrelbank.example"
        """;

    private static async Task<string> AskAsync(HttpClient http, string address, string until)
    {
        string answer = string.Empty;
        for (var waited = System.Diagnostics.Stopwatch.StartNew(); waited.Elapsed < Limit; await Task.Delay(100, TestContext.Current.CancellationToken))
        {
            try
            {
                using HttpResponseMessage response = await http.GetAsync(new Uri(address), TestContext.Current.CancellationToken);
                answer = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
                if (answer.Contains(until, StringComparison.Ordinal) && response.IsSuccessStatusCode)
                {
                    break;
                }
            }
            catch (HttpRequestException)
            {
                // It does not listen yet.
            }
        }

        return answer;
    }

    private async Task FineAsync(string line) => Assert.True(await run.RunAsync(line.Split(' ')) == 0, $"{line}: {run.Messages}");

    private async Task SubscribedAsync(string name, string zone = "Europe/Berlin")
    {
        await using SqliteStore store = await OpenAsync();
        DateTimeZone there = DateTimeZoneProviders.Tzdb[zone];
        await store.Book.SavePlaceAsync(new Place("Sorrel Bank", new Site { LatitudeDeg = 48.02, LongitudeDeg = 9.06, ElevationM = 465 }, there), TestContext.Current.CancellationToken);
        await store.Book.SaveGrowerAsync(new Grower(name, "reader@sorrelbank.example", there, new LocalTime(5, 30), UnitSystem.Metric, ["Sorrel Bank"]), TestContext.Current.CancellationToken);
    }

    private Task<SqliteStore> OpenAsync()
    {
        string data = Path.Combine(run.Folder, "config", "data");
        Directory.CreateDirectory(data);
        return SqliteStore.OpenAsync(Path.Combine(data, "graftwatch.db"), new SqliteStoreOptions { Clock = run.Clock }, TestContext.Current.CancellationToken);
    }
}
