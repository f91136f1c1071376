using System.Collections.Concurrent;
using System.Globalization;
using System.Text.Json.Nodes;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using GraftWatch.Serving.Clocks;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;
using Microsoft.AspNetCore.Builder;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Time.Testing;
using NodaTime;
using NodaTime.Text;
using Quartz;
using WireMock;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;

namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>The whole daemon in this process: real host, real store, real SMTP on loopback, an invented forecast service, and a clock that only the test moves.</summary>
internal sealed class ServeHarness : IAsyncDisposable
{
    private static readonly TimeSpan Step = TimeSpan.FromSeconds(30);
    private static readonly TimeSpan ShortWhile = TimeSpan.FromSeconds(1);
    private static readonly TimeSpan LongWhile = TimeSpan.FromSeconds(4);
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(45);
    private readonly string folder = Directory.CreateTempSubdirectory("graftwatch-serve-").FullName;
    private readonly ConcurrentQueue<string> log = new();
    private IHost? host;
    private SqliteStore? store;

    private ServeHarness(Instant start)
    {
        Clock = new SteppedClock(start.ToDateTimeOffset());
        Weather = WireMockServer.Start();
        Mail = LoopbackMailServer.Start();
    }

    internal string Folder => folder;

    internal SteppedClock Clock { get; }

    /// <summary>What is said of the clock when it is in doubt.</summary>
    internal SaidOfClock Witness { get; } = new();

    internal WireMockServer Weather { get; }

    internal LoopbackMailServer Mail { get; private set; }

    internal IReadOnlyCollection<string> LogLines => log;

    internal ServeReport Report => host!.Services.GetRequiredService<ServeState>().Report();

    internal Instant Now => Instant.FromDateTimeOffset(Clock.GetUtcNow());

    /// <summary>Prepares an installation; nothing runs yet.</summary>
    internal static ServeHarness Prepare(string start)
    {
        var harness = new ServeHarness(InstantPattern.General.Parse(start).Value);
        harness.WriteSettings(harness.Mail.Port);
        File.Copy(Repository.PathOf("src", "GraftWatch", "Demo", "register.csv"), Path.Combine(harness.folder, "register.csv"));
        harness.WeatherAnswers();
        return harness;
    }

    /// <summary>Starts the daemon, or starts it again.</summary>
    internal async Task StartAsync(bool listen = false, string at = "127.0.0.1:0")
    {
        SettingsInForce settings = SettingsInForce.Load(folder, out IReadOnlyList<string> faults) ?? throw new InvalidOperationException(string.Join('\n', faults));
        store = await SqliteStore.OpenAsync(ServeSettings.StorePath(settings.Current.Installation), new SqliteStoreOptions { Clock = Clock }, default);
        host = ServeHost.Build(new ServeParts
        {
            Settings = settings,
            Store = store,
            Mail = MailSetUp.Options(settings.Current.Installation.Mail, _ => null, out string trouble),
            Clock = Clock,
            Environment = name => Secrets.GetValueOrDefault(name),
            Witness = Witness,
            Listen = listen ? at : null,
            Watch = listen ? "127.0.0.1:0" : null,
            Sources = setup => setup with { MetNorwayAddress = new Uri(Weather.Urls[0]) },
            Logging = logging => logging.SetMinimumLevel(LogLevel.Information).AddFilter("System.Net.Http", LogLevel.Warning).AddFilter("Quartz", LogLevel.Warning).AddProvider(new Collector(log)),
        });
        Assert.Empty(trouble);
        await host.StartAsync();
        await PassesAsync(() => Report is { LastLook: not null, LastWeather: not null }, LongWhile);
    }

    /// <summary>Stops the daemon; store and settings stay.</summary>
    internal async Task StopAsync()
    {
        if (host is not null)
        {
            await host.StopAsync();
            host.Dispose();
            host = null;
            await store!.DisposeAsync();
        }
    }

    /// <summary>Moves the clock and lets the daemon look at each step; a job that itself waits for the clock does not hold it up.</summary>
    internal async Task AdvanceAsync(double minutes)
    {
        Instant until = Now + Duration.FromMinutes(minutes);
        while (Now < until)
        {
            Clock.Advance(Step);
            Instant seen = Now - Duration.FromMinutes(1);
            await PassesAsync(() => Report.LastLook > seen && Report.LastHandOver > seen);
            await Task.Delay(5);
        }
    }

    /// <summary>Where the pages listen.</summary>
    internal Uri Pages => new(((WebApplication)host!).Urls.First());

    /// <summary>Where health and metrics are asked.</summary>
    internal Uri Watch => new(((WebApplication)host!).Urls.Last());

    internal bool IsStuck => host!.Services.GetRequiredService<ServeState>().IsStuck;

    internal bool HasStopped => host!.Services.GetRequiredService<IHostApplicationLifetime>().ApplicationStopping.IsCancellationRequested;

    /// <summary>Lets a job run no more, as if it hung.</summary>
    internal async Task KillLoopAsync(string job) =>
        await host!.Services.GetRequiredKeyedService<IScheduler>(ServeBeat.Own).PauseTrigger(new TriggerKey(job));

    /// <summary>Whether the daemon, asked to stop, waits for the jobs that still run.</summary>
    internal bool IsEnding
    {
        get
        {
            try
            {
                return host!.Services.GetRequiredKeyedService<IScheduler>(ServeBeat.Own).Status == SchedulerStatus.ShuttingDown;
            }
            catch (SchedulerException)
            {
                return true; // It takes no more questions.
            }
        }
    }

    /// <summary>Sets the clock without any time passing, as an operator or a time service does.</summary>
    internal void SetClock(Duration by) => Clock.Offset += by.ToTimeSpan();

    /// <summary>Moves the clock while nothing is expected to be looked at.</summary>
    internal async Task PassAsync(double minutes)
    {
        for (Instant until = Now + Duration.FromMinutes(minutes); Now < until; await Task.Delay(10))
        {
            Clock.Advance(Step);
        }
    }

    /// <summary>Waits for what must come now. On a busy machine a beat may fall behind the clock of the test, which then goes on slowly.</summary>
    internal async Task WaitAsync(Func<bool> condition, string what)
    {
        var waited = System.Diagnostics.Stopwatch.StartNew();
        TimeSpan nudged = TimeSpan.FromSeconds(2);
        while (!condition())
        {
            Assert.True(waited.Elapsed < Patience, $"Waited in vain for {what}. The log says:\n{string.Join('\n', log)}");
            await Task.Delay(10);
            if (waited.Elapsed > nudged)
            {
                // Slowly: requests to the forecast are real, and their limits are by this clock.
                Clock.Advance(TimeSpan.FromSeconds(5));
                nudged = waited.Elapsed + TimeSpan.FromSeconds(1);
            }
        }
    }

    private static async Task PassesAsync(Func<bool> condition, TimeSpan? limit = null)
    {
        var waited = System.Diagnostics.Stopwatch.StartNew();
        while (!condition() && waited.Elapsed < (limit ?? ShortWhile))
        {
            await Task.Delay(5);
        }
    }

    internal async Task<ReceivedLetter> LetterAsync(int number)
    {
        await WaitAsync(() => Mail.Received.Count >= number, $"letter {number}");
        return Mail.Received.ElementAt(number - 1);
    }

    internal Task<LedgerEntry?> EntryAsync(string date) =>
        store!.Ledger.FindAsync(new LetterSlot("Mara", LocalDatePattern.Iso.Parse(date).Value, LetterKind.Morning), default);

    internal void WeatherAnswers() => Answer(Response.Create().WithStatusCode(200).WithHeader("Content-Type", "application/json")
        .WithBody(File.ReadAllText(Repository.PathOf("src", "GraftWatch", "Demo", "weather.json"))));

    /// <summary>The service answers with the demonstration's hours, changed from an hour on.</summary>
    /// <param name="from">First hour changed, UTC.</param>
    /// <param name="until">First hour not changed any more.</param>
    /// <param name="columns">New values by column.</param>
    internal void WeatherTurns(string from, string until, params (string Column, double Value)[] columns)
    {
        JsonNode reply = JsonNode.Parse(File.ReadAllText(Repository.PathOf("src", "GraftWatch", "Demo", "weather.json")))!;
        JsonNode hourly = reply["hourly"]!;
        JsonArray times = hourly["time"]!.AsArray();
        for (int hour = 0; hour < times.Count; hour++)
        {
            string time = (string)times[hour]!;
            if (string.CompareOrdinal(time, from) >= 0 && string.CompareOrdinal(time, until) < 0)
            {
                foreach ((string column, double value) in columns)
                {
                    hourly[column]![hour] = value;
                }
            }
        }

        Answer(Response.Create().WithStatusCode(200).WithHeader("Content-Type", "application/json").WithBody(reply.ToJsonString()));
    }

    /// <summary>The service takes a request and leaves it without an answer until it is told to give one, which is that there is nothing.</summary>
    internal void WeatherHangs(Action asked, Task release) => Answer(Response.Create().WithCallback(async _ =>
    {
        asked();
        await release;
        return new ResponseMessage { StatusCode = 404 };
    }));

    internal void WeatherFails() => Answer(Response.Create().WithStatusCode(500).WithBody("out of order"));

    /// <summary>MET Norway answers with three invented dry days of 12 °C from the full hour on.</summary>
    internal void MetNorwayAnswers()
    {
        Instant first = Instant.FromUnixTimeSeconds(Now.ToUnixTimeSeconds() / 3600 * 3600);
        IEnumerable<string> hours = Enumerable.Range(0, 72).Select(hour =>
            $$$$$"""{"time":"{{{{{InstantPattern.General.Format(first + Duration.FromHours(hour))}}}}}","data":{"instant":{"details":{"air_temperature":12.0,"cloud_area_fraction":50.0,"dew_point_temperature":6.0,"relative_humidity":67.0,"wind_from_direction":190.0,"wind_speed":2.0,"wind_speed_of_gust":4.0}},"next_1_hours":{"summary":{"symbol_code":"cloudy"},"details":{"precipitation_amount":0.0}}}}""");
        string body = $$$"""{"type":"Feature","geometry":{"type":"Point","coordinates":[9.06,48.02,465]},"properties":{"meta":{"updated_at":"{{{InstantPattern.General.Format(first)}}}","units":{"air_temperature":"celsius","cloud_area_fraction":"%","dew_point_temperature":"celsius","relative_humidity":"%","wind_from_direction":"degrees","wind_speed":"m/s","wind_speed_of_gust":"m/s","precipitation_amount":"mm"}},"timeseries":[{{{string.Join(',', hours)}}}]}}""";
        Weather.Given(Request.Create().WithPath("/weatherapi/locationforecast/2.0/complete").UsingGet())
            .RespondWith(Response.Create().WithStatusCode(200).WithHeader("Content-Type", "application/json").WithBody(body));
    }

    internal void WriteStation(string csv) => File.WriteAllText(Path.Combine(folder, "station.csv"), csv);

    internal RecordsStore Store => store!;

    /// <summary>Who is served now.</summary>
    internal Task<InForce> ServedAsync() => host!.Services.GetRequiredService<GrowersInForce>().LoadAsync(default);

    /// <summary>Secrets of channels, as the environment would give them.</summary>
    internal Dictionary<string, string> Secrets { get; } = new(StringComparer.Ordinal);

    internal void WriteSettings(int mailPort, string units = "metric", string place = "", string weather = "", string grower = "", string top = "", string channels = "") => File.WriteAllText(
        Path.Combine(folder, "graftwatch.toml"),
        string.Create(
            CultureInfo.InvariantCulture,
            $"""
            data_folder = "data"
            {top}

            [[place]]
            name = "Sorrel Bank"
            latitude = 48.02
            longitude = 9.06
            elevation = "465 m"
            zone = "Europe/Berlin"
            {place}

            [[grower]]
            name = "Mara"
            address = "mara@sorrelbank.example"
            letter_hour = "05:30"
            units = "{units}"
            register = "register.csv"
            {grower}

            {channels}

            [mail]
            host = "127.0.0.1"
            port = {mailPort}
            security = "plain"
            from = "graftwatch@sorrelbank.example"

            [weather]
            address = "{Weather.Urls[0]}"
            {weather}
            """));

    internal void WriteBrokenSettings() => File.AppendAllText(Path.Combine(folder, "graftwatch.toml"), "\n[mial]\nhost = 1,5\n");

    internal void WriteBrokenRegister() => File.AppendAllText(Path.Combine(folder, "register.csv"), "Z9-99,Sorrel Bank,,,,aple,,,cleft,2026-05-01,1,S,0,1,30,none,none,none,0,0,0,no,\n");

    public async ValueTask DisposeAsync()
    {
        await StopAsync();
        await Mail.DisposeAsync();
        Weather.Dispose();
        Directory.Delete(folder, recursive: true);
    }

    private void Answer(IResponseBuilder answer)
    {
        Weather.Reset();
        Weather.Given(Request.Create().WithPath("/v1/forecast").UsingGet()).RespondWith(answer);
    }

    /// <summary>A clock whose hour can be set while its ticks go on evenly, as a machine's wall clock and its monotonic clock.</summary>
    internal sealed class SteppedClock(DateTimeOffset start) : FakeTimeProvider(start)
    {
        internal TimeSpan Offset { get; set; }

        public override DateTimeOffset GetUtcNow() => base.GetUtcNow() + Offset;

        public override long GetTimestamp() => base.GetUtcNow().Ticks;
    }

    /// <summary>A witness that says what the test has it say.</summary>
    internal sealed class SaidOfClock : IClockWitness
    {
        internal ClockVerdict Verdict { get; set; } = ClockVerdict.Right;

        public Task<ClockWord> AskAsync(Instant now, CancellationToken cancellationToken) => Task.FromResult(new ClockWord(Verdict, "the test says so"));
    }

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
