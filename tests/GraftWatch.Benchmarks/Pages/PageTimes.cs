using System.Diagnostics;
using System.Globalization;
using System.Net;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Letters;
using GraftWatch.Pages.Security;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using GraftWatch.Testing.FakeForecastApi;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Benchmarks.Pages;

/// <summary>How long the grower's pages take on the real host with a large register, and how large they are; the goals are 100 ms and 50,000 bytes.</summary>
internal static class PageTimes
{
    private const string Name = "Mara Quill";
    private const string Address = "mara@larkhollow.example";
    private const int Times = 15;

    private static readonly string[] Paths =
    [
        "/today", "/today/answers", "/grafts", "/grafts?page=100", "/grafts?text=winter+banner", "/grafts?due=any", "/grafts/one?label={0}", "/saw?graft={0}",
        "/grafts/add?like={0}", "/plan", "/print", "/labels", "/labels?paper=letter",
    ];

    internal static async Task PrintAsync(int grafts, TextWriter output)
    {
        string folder = Directory.CreateTempSubdirectory("graftwatch-pages-").FullName;
        Instant now = Instant.FromDateTimeOffset(TimeProvider.System.GetUtcNow());
        await using FakeForecastServer weather = await FakeForecastServer.StartAsync(now, default);
        await File.WriteAllTextAsync(Path.Combine(folder, "graftwatch.toml"), Settings(weather.Url));
        SettingsInForce settings = SettingsInForce.Load(folder, out IReadOnlyList<string> faults) ?? throw new InvalidOperationException(string.Join('\n', faults));
        await using SqliteStore store = await SqliteStore.OpenAsync(ServeSettings.StorePath(settings.Current.Installation), new SqliteStoreOptions { Clock = TimeProvider.System }, default);
        LocalDate today = now.InZone(DateTimeZoneProviders.Tzdb["Europe/Berlin"]).Date;
        Graft[] register = [.. Enumerable.Range(0, grafts).Select(i => GraftOf(i, today))];
        await store.Keeper.ReplaceGraftsAsync(Name, register, default);
        await using var host = (WebApplication)ServeHost.Build(new ServeParts
        {
            Settings = settings,
            Store = store,
            Mail = new MailOptions { From = "letters@larkhollow.example" },
            Clock = TimeProvider.System,
            Logging = logging => logging.SetMinimumLevel(LogLevel.Error),
            Listen = "127.0.0.1:0",
        });
        await host.StartAsync();
        using HttpClient http = await SignedInAsync(store, new Uri(host.Urls.Single()), now);
        var watch = Stopwatch.StartNew();
        (await http.GetAsync("/today")).EnsureSuccessStatusCode();
        await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"{grafts} grafts, {Environment.ProcessorCount} cores. The first page of the day, with the whole round: {watch.ElapsedMilliseconds} ms."));
        await output.WriteLineAsync("| page | median ms | slowest ms | bytes |\n|---|---|---|---|");
        foreach (string path in Paths)
        {
            await MeasureAsync(http, string.Format(CultureInfo.InvariantCulture, path, register[grafts / 2].Label), output);
        }

        await host.StopAsync();
        Directory.Delete(folder, recursive: true);
    }

    private static async Task MeasureAsync(HttpClient http, string path, TextWriter output)
    {
        int bytes = (await http.GetByteArrayAsync(path)).Length;
        var times = new double[Times];
        for (int i = 0; i < Times; i++)
        {
            var watch = Stopwatch.StartNew();
            using HttpResponseMessage answer = await http.GetAsync(path);
            answer.EnsureSuccessStatusCode();
            await answer.Content.ReadAsByteArrayAsync();
            times[i] = watch.Elapsed.TotalMilliseconds;
        }

        Array.Sort(times);
        await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"| {path} | {times[Times / 2]:F1} | {times[^1]:F1} | {bytes} |"));
    }

    private static async Task<HttpClient> SignedInAsync(SqliteStore store, Uri address, Instant now)
    {
        string link = Tokens.Fresh();
        string session = Tokens.Fresh();
        var mail = new PageMail(0, Address, "benchmark@larkhollow.example", "Sign in", ReadOnlyMemory<byte>.Empty, now, now + Duration.FromMinutes(5));
        await store.People.OfferAsync(new EntryLink(Tokens.Hash(link), Address, EntryPurpose.SignIn, string.Empty, now, now + Duration.FromMinutes(5)), mail, 10, Duration.FromHours(1), default);
        _ = await store.People.EnterAsync(Tokens.Hash(link), Tokens.Hash(session), "benchmark", now, default) ?? throw new InvalidOperationException("No session was opened.");
        var cookies = new CookieContainer();
        cookies.Add(address, new Cookie("gw-session", session));
        return new HttpClient(new HttpClientHandler { CookieContainer = cookies, AllowAutoRedirect = false }) { BaseAddress = address };
    }

    private static Graft GraftOf(int i, LocalDate today) => new()
    {
        Label = $"{(char)('A' + (i / 1000 % 26))}{i / 50 % 20:00}-{i:00000}",
        Place = "Larkhollow",
        Block = ((char)('A' + (i / 1000 % 26))).ToString(),
        Row = (i / 50 % 20).ToString(CultureInfo.InvariantCulture),
        Tree = (i % 50).ToString(CultureInfo.InvariantCulture),
        Species = ((string[])["apple", "pear", "plum", "walnut", "grape"])[i % 5],
        Scion = "Winter Banner",
        Stock = "M9",
        Technique = Technique.WhipAndTongue,
        Made = today.PlusDays(-(i % 45)),
        AspectDeg = 45 * (i / 5 % 8),
        HeightM = 0.4,
        DiameterM = 0.012 + (0.002 * (i / 40 % 5)),
        Cover = i % 3 == 0 ? "foil" : "none",
        Tie = "budding-strip",
        Seal = "wax",
        ShootM = i % 50 > 25 ? 0.25 : null,
    };

    private static string Settings(Uri weather) => string.Create(
        CultureInfo.InvariantCulture,
        $"""
        data_folder = "data"

        [[place]]
        name = "Larkhollow"
        latitude = 48.5
        longitude = 9.0
        elevation = "350 m"
        zone = "Europe/Berlin"

        [[grower]]
        name = "{Name}"
        address = "{Address}"
        letter_hour = "05:30"

        [weather]
        address = "{weather}"
        """);
}
