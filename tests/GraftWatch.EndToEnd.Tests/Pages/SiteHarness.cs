using System.Collections.Concurrent;
using System.Globalization;
using GraftWatch.Records;
using GraftWatch.Serving;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Time.Testing;
using NodaTime;
using NodaTime.Text;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;

namespace GraftWatch.EndToEnd.Tests.Pages;

/// <summary>The real daemon with its pages on a free port of the loopback address: real store, real mail server, invented weather, a clock only the test moves.</summary>
internal sealed class SiteHarness : IAsyncDisposable
{
    /// <summary>A grower whose profile stands in the settings file.</summary>
    internal const string Mara = "mara@sorrelbank.example";

    /// <summary>Who runs the program.</summary>
    internal const string Operator = "operator@sorrelbank.example";

    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(20);
    private readonly string folder = Directory.CreateTempSubdirectory("graftwatch-pages-").FullName;
    private readonly ConcurrentQueue<string> log = new();
    private readonly WireMockServer weather = WireMockServer.Start();
    private WebApplication? host;

    private SiteHarness(string start) => Clock = new FakeTimeProvider(InstantPattern.General.Parse(start).Value.ToDateTimeOffset());

    internal FakeTimeProvider Clock { get; }

    internal LoopbackMailServer Mail { get; } = LoopbackMailServer.Start();

    internal SqliteStore Store { get; private set; } = null!;

    /// <summary>Where the pages answer, without a path.</summary>
    internal Uri Address { get; private set; } = null!;

    internal IReadOnlyCollection<string> LogLines => log;

    internal IServiceProvider Services => host!.Services;

    internal Instant Now => Instant.FromDateTimeOffset(Clock.GetUtcNow());

    internal string Folder => folder;

    /// <summary>Starts the daemon.</summary>
    /// <param name="page">Lines of the table <c>[page]</c>.</param>
    /// <param name="start">The instant the clock shows.</param>
    internal static async Task<SiteHarness> StartAsync(string page = "subscriptions = true", string start = "2026-05-12T01:00:00Z")
    {
        var harness = new SiteHarness(start);
        File.Copy(Repository.PathOf("src", "GraftWatch", "Demo", "register.csv"), Path.Combine(harness.folder, "register.csv"));
        harness.weather.Given(Request.Create().WithPath("/v1/forecast").UsingGet()).RespondWith(Response.Create().WithStatusCode(200)
            .WithHeader("Content-Type", "application/json").WithBody(await File.ReadAllTextAsync(Repository.PathOf("src", "GraftWatch", "Demo", "weather.json"))));
        harness.WriteSettings(page);
        await harness.RunAsync();
        return harness;
    }

    /// <summary>A browser of its own: cookies are kept, leading on is not followed.</summary>
    internal Browser Browse(string language = "en") => new(Address, language);

    /// <summary>A browser that is signed in, by the real way through the mail.</summary>
    internal async Task<Browser> SignInAsync(string address, string language = "en")
    {
        Browser browser = Browse(language);
        await browser.SignInAsync(this, address);
        return browser;
    }

    /// <summary>Waits for a mail to an address and gives the newest.</summary>
    internal async Task<string> MailTextAsync(string address, int count = 1)
    {
        await WaitAsync(() => MailsTo(address).Count >= count, $"mail {count} to {address}");
        return MailsTo(address)[count - 1].Parse().TextBody!.Replace("\r\n", "\n", StringComparison.Ordinal);
    }

    internal IReadOnlyList<ReceivedLetter> MailsTo(string address) => [.. Mail.Received.Where(letter => letter.Recipients.Contains(address))];

    internal async Task WaitAsync(Func<bool> condition, string what)
    {
        var waited = System.Diagnostics.Stopwatch.StartNew();
        while (!condition())
        {
            Assert.True(waited.Elapsed < Patience, $"Waited in vain for {what}. The log says:\n{string.Join('\n', log)}");
            await Task.Delay(10);
        }
    }

    /// <summary>Moves the clock to an instant, step by step, and lets the daemon look at each.</summary>
    internal async Task UntilAsync(string instant)
    {
        Instant until = InstantPattern.General.Parse(instant).Value;
        ServeState state = (ServeState)Services.GetService(typeof(ServeState))!;
        await WaitAsync(() => state.Report() is { LastLook: not null, LastWeather: not null }, "the first look");
        while (Now < until)
        {
            Clock.Advance(TimeSpan.FromSeconds(Math.Min(30, (until - Now).TotalSeconds)));
            Instant seen = Now - Duration.FromMinutes(1);
            var waited = System.Diagnostics.Stopwatch.StartNew();
            while (!(state.Report().LastLook > seen) && waited.Elapsed < TimeSpan.FromSeconds(1))
            {
                await Task.Delay(5);
            }

            await Task.Delay(5);
        }
    }

    /// <summary>Stops and starts the daemon; the store stays.</summary>
    internal async Task RestartAsync()
    {
        await StopAsync();
        await RunAsync();
    }

    public async ValueTask DisposeAsync()
    {
        await StopAsync();
        await Mail.DisposeAsync();
        weather.Dispose();
        Directory.Delete(folder, recursive: true);
    }

    private async Task RunAsync()
    {
        SettingsInForce settings = SettingsInForce.Load(folder, out IReadOnlyList<string> faults) ?? throw new InvalidOperationException(string.Join('\n', faults));
        Store = await SqliteStore.OpenAsync(ServeSettings.StorePath(settings.Current.Installation), new SqliteStoreOptions { Clock = Clock }, default);
        host = (WebApplication)ServeHost.Build(new ServeParts
        {
            Settings = settings,
            Store = Store,
            Mail = MailSetUp.Options(settings.Current.Installation.Mail, _ => null, out string trouble),
            Clock = Clock,
            Logging = logging => logging.SetMinimumLevel(LogLevel.Information).AddFilter("System.Net.Http", LogLevel.Warning).AddFilter("Quartz", LogLevel.Warning).AddFilter("Microsoft", LogLevel.Warning).AddProvider(new Collector(log)),
            Listen = "127.0.0.1:0",
        });
        Assert.Empty(trouble);
        await host.StartAsync();
        Address = new Uri(host.Urls.Single());
    }

    private async Task StopAsync()
    {
        if (host is not null)
        {
            await host.StopAsync();
            await host.DisposeAsync();
            host = null;
            await Store.DisposeAsync();
        }
    }

    private void WriteSettings(string page) => File.WriteAllText(
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
            zone = "Europe/Berlin"

            [[grower]]
            name = "Mara"
            address = "{Mara}"
            letter_hour = "05:30"
            register = "register.csv"

            [mail]
            host = "127.0.0.1"
            port = {Mail.Port}
            security = "plain"
            from = "graftwatch@sorrelbank.example"

            [weather]
            address = "{weather.Urls[0]}"

            [operator]
            address = "{Operator}"

            [page]
            {page}
            """));

    private sealed class Collector(ConcurrentQueue<string> lines) : ILoggerProvider, ILogger
    {
        public ILogger CreateLogger(string categoryName) => this;

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) =>
            lines.Enqueue($"{logLevel} {eventId.Name} {formatter(state, exception)} {exception}");

        public void Dispose()
        {
        }
    }
}
