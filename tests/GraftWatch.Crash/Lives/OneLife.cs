using System.Globalization;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Letters;
using GraftWatch.Records;
using GraftWatch.Records.Backups;
using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using Microsoft.Data.Sqlite;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using NodaTime;
using Quartz;

namespace GraftWatch.Crash.Lives;

/// <summary>The program that is killed: the daemon's own parts and jobs, beaten by a simulated clock instead of Quartz, one pass after the other.</summary>
internal sealed class OneLife(LifeOptions options, SharedClock clock, IServiceProvider services, RecordsStore store, SettingsInForce settings)
{
    private const string Slip = "\nletter_houre = 6,30\n";
    private static readonly TimeSpan Long = TimeSpan.FromHours(2);
    private static readonly Duration LongBeat = Duration.FromHours(7);
    private readonly Random steps = new(unchecked((int)clock.True.ToUnixTimeSeconds()));
    private readonly Dictionary<string, Instant> nextBeat = new(StringComparer.Ordinal);
    private readonly BeatList beats = services.GetRequiredService<BeatList>();
    private LocalDate lastChore;
    private Instant? mendAt;

    /// <summary>Lives until killed, or until the time and the letters are through.</summary>
    internal static async Task RunAsync(LifeOptions options)
    {
        EndWithInput();
        KillSwitch.Arm(options.Point, options.Times, options.TellsPoints ? point => Say("H " + point) : null);
        using var clock = new SharedClock(options.Clock, options.Spoil == Spoil.EarlyClock ? Duration.FromMinutes(11) : Duration.Zero);
        KillSwitch.Here("before the settings are read");
        SettingsInForce settings = SettingsInForce.Load(options.Folder, out IReadOnlyList<string> faults)
            ?? throw new InvalidOperationException(string.Join('\n', faults));
        KillSwitch.Here("after the settings are read");
        using StoreLock? sender = options.Postgres.Length == 0 ? StoreLock.Take(ServeSettings.StorePath(settings.Current.Installation)) : null;
        KillSwitch.Here("before the store is opened");
        await using RecordsStore store = await OpenAsync(options, settings, clock);
        KillSwitch.Here("after the store is opened");
        using IHost host = ServeHost.Build(new ServeParts
        {
            Settings = settings,
            Store = store,
            Mail = Mail(options),
            Clock = clock,
            Logging = logging => logging.SetMinimumLevel(LogLevel.Warning).AddProvider(new SayingLog()),
            Around = around => Watch(around, store, clock, options.Spoil),
        });
        var life = new OneLife(options, clock, host.Services, store, settings);
        await life.PrepareAsync();
        KillSwitch.Here("before the first pass");
        while (await life.PassAsync())
        {
        }

        await life.MendAsync(Instant.MaxValue);
        KillSwitch.Here("before the end");
    }

    private static async Task<RecordsStore> OpenAsync(LifeOptions options, SettingsInForce settings, SharedClock clock)
    {
        if (options.Postgres.Length > 0)
        {
            return await PostgresStore.OpenAsync(options.Postgres, clock, CancellationToken.None);
        }

        SqliteStore store = await SqliteStore.OpenAsync(
            ServeSettings.StorePath(settings.Current.Installation),
            new SqliteStoreOptions { Clock = clock, ReserveBytes = options.ReserveBytes, BeforeMigrationStatement = (_, _) => KillSwitch.Here("inside: a migration statement") },
            CancellationToken.None);
        await StoreTriggers.InstallAsync(store.File);
        if (options.WeakSync)
        {
            await store.File.AloneAsync(
                connection =>
                {
                    SqliteFiles.Execute(connection, "PRAGMA synchronous = NORMAL;");
                    return true;
                },
                CancellationToken.None);
        }

        return store;
    }

    private static MailOptions Mail(LifeOptions options) => new()
    {
        Host = "127.0.0.1",
        Port = options.MailPort,
        From = "letters@orchard.example",
        Connections = 3,
        LettersPerConnection = 4,
        Security = options.Certificate.Length > 0 ? MailSecurity.StartTls : MailSecurity.None,
        CertificateSha256 = options.Certificate,
        UserName = options.Certificate.Length > 0 ? "letters" : string.Empty,
        Password = options.Certificate.Length > 0 ? "apple" : string.Empty,
    };

    private static void Watch(IServiceCollection services, RecordsStore store, SharedClock clock, Spoil spoil)
    {
        // The next pass, minutes of the simulated clock later, sees that an edit has stood still.
        services.AddSingleton(new EditPatience(MostLooks: 1));
        Wrap<ILedger>(services, inner => new WatchedLedger(inner));
        Wrap<ISaidMemory>(services, inner => new WatchedSaid(inner, spoil));
        Wrap<ILetterClaims>(services, inner => new WatchedClaims(inner, spoil));
        Wrap<IWeatherHistory>(services, inner => new WatchedHistory(inner));
        Wrap<IRequestTallies>(services, inner => new WatchedTallies(inner));
        Wrap<IRegister>(services, inner => new WatchedRegister(inner));
        Wrap<ILetterComposer>(services, inner => new WatchedComposer(inner));
        Wrap<ILetterChannel>(services, inner => new WatchedChannel(inner, store.Ledger, clock, spoil));
    }

    private static void Wrap<T>(IServiceCollection services, Func<T, T> around)
        where T : class
    {
        ServiceDescriptor last = services.Last(service => service.ServiceType == typeof(T));
        services.AddSingleton(provider => around((T)(last.ImplementationInstance ?? last.ImplementationFactory!(provider))));
    }

    private static void EndWithInput() => new Thread(() =>
    {
        while (Console.In.Read() >= 0)
        {
        }

        Environment.Exit(3);
    })
    { IsBackground = true }.Start();

    /// <summary>Says a line to whoever watches.</summary>
    internal static void Say(string line)
    {
        lock (Console.Out)
        {
            Console.Out.WriteLine(line);
            Console.Out.Flush();
        }
    }

    // Grafts that are already there are imported again, as a grower might; nothing may change by that.
    private async Task PrepareAsync()
    {
        foreach (Beat beat in beats.All)
        {
            await services.GetRequiredKeyedService<IScheduler>(beat.Scheduler).AddJob(beat.Job(), AddJobOptions.Replacing);
        }

        foreach (Grower grower in settings.Current.Morning.Growers)
        {
            if ((await store.Register.LoadGraftsAsync(grower.Name, CancellationToken.None)).Count == 0)
            {
                await KillSwitch.AroundAsync("grafts are imported", () => store.Keeper.ImportGraftsAsync(grower.Name, Grafts(grower), CancellationToken.None));
            }
        }
    }

    // Sealed, so that only the frosts of the invented weather are ever urgent: the watcher reckons with nothing else.
    private Graft[] Grafts(Grower grower)
    {
        LocalDate made = clock.True.InUtc().Date.PlusDays(-20);
        return
        [
            new Graft { Label = "A-01", Place = grower.Places[0], Species = "apple", Technique = Technique.WhipAndTongue, Made = made, AspectDeg = 180, HeightM = 0.4, DiameterM = 0.012, Seal = "wax" },
            new Graft { Label = "A-02", Place = grower.Places[0], Species = "sweet-cherry", Technique = Technique.Cleft, Made = made, AspectDeg = 225, HeightM = 0.8, DiameterM = 0.02, Seal = "wax" },
        ];
    }

    private async Task<bool> PassAsync()
    {
        Instant now = clock.True;
        KillSwitch.Here("before a pass");
        foreach (Beat beat in beats.All.Where(beat => now >= nextBeat.GetValueOrDefault(beat.Name, Instant.MinValue)))
        {
            nextBeat[beat.Name] = now + (beat.Interval >= Long ? LongBeat : Duration.FromTimeSpan(beat.Interval));
            await DoAsync(beat, now);
        }

        await ChoresOrSayAsync(now);
        Say(string.Create(CultureInfo.InvariantCulture, $"P {now.ToUnixTimeTicks()}"));
        long waiting = await store.Engine.ReadAsync(async session => await session.NumberAsync("SELECT count(*) FROM letter WHERE state = 'waiting'") ?? 0, CancellationToken.None);
        if (options.UntilSeconds > 0 && waiting == 0 && now.ToUnixTimeSeconds() >= options.UntilSeconds)
        {
            return false;
        }

        clock.True += waiting > 0
            ? Duration.FromSeconds(steps.Next(20, 90))
            : Duration.FromMinutes(new[] { 5, 15, 30, 60 }[steps.Next(4)]);
        return true;
    }

    private async Task DoAsync(Beat beat, Instant now)
    {
        IJobDetail detail = beat.Job();
        IScheduler scheduler = services.GetRequiredKeyedService<IScheduler>(beat.Scheduler);
        var job = (IJob)services.GetRequiredService(detail.JobType.Type);
        await KillSwitch.AroundAsync("job " + beat.Name, () => job.Execute(new BeatContext(scheduler, detail, job, now.ToDateTimeOffset()), CancellationToken.None).AsTask());
    }

    // On a full disk a grower's command fails, not the daemon.
    private async Task ChoresOrSayAsync(Instant now)
    {
        try
        {
            await ChoresAsync(now);
        }
        catch (Exception full) when (full is IOException or SqliteException)
        {
            Say("E Chore " + full.Message);
        }
    }

    // What the system counts as sent to the disk by this process; none where it keeps no such account.
    private static long WrittenBytes()
    {
        const string Account = "/proc/self/io";
        string? line = File.Exists(Account) ? File.ReadLines(Account).FirstOrDefault(one => one.StartsWith("write_bytes:", StringComparison.Ordinal)) : null;
        return line is null ? 0 : long.Parse(line.AsSpan(line.IndexOf(' ', StringComparison.Ordinal) + 1), CultureInfo.InvariantCulture);
    }

    // Once a simulated day growers answer, note what they saw, and the operator edits the settings.
    private async Task ChoresAsync(Instant now)
    {
        await MendAsync(now);
        LocalDate today = now.InUtc().Date;
        if (today == lastChore || mendAt is not null)
        {
            return;
        }

        lastChore = today;
        Say(string.Create(CultureInfo.InvariantCulture, $"M {GC.GetTotalMemory(forceFullCollection: true)} {WrittenBytes()}"));

        Grower grower = settings.Current.Morning.Growers[today.DayOfYear % settings.Current.Morning.Growers.Count];
        var seen = new Observation("A-01", now, ObservationKind.GreenTip);
        long? note = await KillSwitch.AroundAsync("an observation is kept", () => store.Keeper.ObserveAsync(grower.Name, seen, "green tip", now, CancellationToken.None));
        if (note is { } number)
        {
            Say(string.Create(CultureInfo.InvariantCulture, $"N {number}"));
        }

        string file = Path.Combine(options.Folder, "graftwatch.toml");
        string text = await File.ReadAllTextAsync(file);
        string edited = text.Contains("units = \"us\"", StringComparison.Ordinal) ? text.Replace("units = \"us\"", "units = \"metric\"", StringComparison.Ordinal) : text.Replace("units = \"metric\"", "units = \"us\"", StringComparison.Ordinal);
        await File.WriteAllTextAsync(file + ".edit", edited);
        KillSwitch.Here("before edited settings are in place");
        File.Move(file + ".edit", file, overwrite: true);
        KillSwitch.Here("after edited settings are in place");
        if (options.ClumsyOperator && today.DayOfYear % 17 == 0)
        {
            await File.AppendAllTextAsync(file, Slip);
            mendAt = now + Duration.FromHours(5);
        }
    }

    private async Task MendAsync(Instant now)
    {
        if (mendAt is { } at && now >= at)
        {
            string file = Path.Combine(options.Folder, "graftwatch.toml");
            string text = await File.ReadAllTextAsync(file);
            await File.WriteAllTextAsync(file + ".edit", text.Replace(Slip, string.Empty, StringComparison.Ordinal));
            File.Move(file + ".edit", file, overwrite: true);
            mendAt = null;
        }
    }
}

/// <summary>Says what the program logs as a warning or worse, one line each, to whoever watches.</summary>
internal sealed class SayingLog : ILoggerProvider, ILogger
{
    public ILogger CreateLogger(string categoryName) => this;

    public IDisposable? BeginScope<TState>(TState state)
        where TState : notnull => null;

    public bool IsEnabled(LogLevel logLevel) => logLevel >= LogLevel.Warning;

    public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter)
    {
        string line = $"{(logLevel >= LogLevel.Error ? "E" : "W")} {eventId.Name} {formatter(state, exception)} {exception}".ReplaceLineEndings(" ");
        OneLife.Say(line);
    }

    public void Dispose()
    {
    }
}
