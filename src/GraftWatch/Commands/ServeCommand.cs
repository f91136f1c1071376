using System.CommandLine;
using GraftWatch.CommandLine;
using GraftWatch.Inputs;
using GraftWatch.Letters;
using GraftWatch.Pages.FirstStart;
using GraftWatch.Records;
using GraftWatch.Records.Backups;
using GraftWatch.Serving;
using GraftWatch.Serving.Clocks;
using GraftWatch.Serving.Systemd;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Commands;

/// <summary>The daemon.</summary>
internal static class ServeCommand
{
    internal const string UsualWatch = "127.0.0.1:8621";
    private const string Off = "off";
    private static readonly TimeSpan LongestOpening = TimeSpan.FromMinutes(15);

    internal static Command Build(Terminal terminal)
    {
        Option<string?> config = SharedOptions.Config();
        var listen = new Option<string?>("--listen")
        {
            Description = "Address and port of the pages, or off; left out, as [page] of the settings says.",
            HelpName = "ADDRESS:PORT",
        };
        var watch = new Option<string>("--watch")
        {
            Description = "Address and port, on this machine, of health and metrics (/live, /ready, /metrics), or off.",
            HelpName = "ADDRESS:PORT",
            DefaultValueFactory = _ => UsualWatch,
        };
        var firstStart = new Option<bool>("--first-start")
        {
            Description = "Where there is no graftwatch.toml yet, ask for what it needs on a page and go on with it; on a terminal this is the rule.",
        };
        var command = new Command("serve", "Run as a daemon: one letter a grower and morning, at the local letter hour.") { config, listen, watch, firstStart };
        command.SetAction((parsed, cancellationToken) => RunAsync(terminal, parsed.GetValue(config), parsed.GetValue(listen), parsed.GetValue(watch)!, parsed.GetValue(firstStart), cancellationToken));
        return command;
    }

    private static async Task<int> RunAsync(Terminal terminal, string? config, string? listen, string watch, bool firstStart, CancellationToken cancellationToken)
    {
        if (!FirstStartRun.IsWanted(terminal, config, firstStart) || ListenFault(listen) is not null || listen == Off)
        {
            return await RunAsync(terminal, config, listen, watch, cancellationToken).ConfigureAwait(false);
        }

        bool written = await FirstStartRun.RunAsync(terminal, config, listen, ToStandardError, cancellationToken).ConfigureAwait(false);
        return written ? await RunAsync(terminal, config, listen, watch, cancellationToken).ConfigureAwait(false)
            : cancellationToken.IsCancellationRequested ? ExitCode.Fine : ExitCode.Failed;
    }

    private static async Task<int> RunAsync(Terminal terminal, string? config, string? listen, string watch, CancellationToken cancellationToken)
    {
        if (Installation.Load(terminal, config, out IReadOnlyList<string> faults) is not { } settings)
        {
            return terminal.Refuse(faults);
        }

        MailOptions mail = MailSetUp.Options(settings.Current.Installation.Mail, Environment.GetEnvironmentVariable, out string trouble);
        if (trouble.Length > 0)
        {
            return terminal.Refuse([trouble]);
        }

        string[] wrong = [.. new[] { ListenFault(listen), watch == Off ? null : WatchLine.Fault(watch) }.OfType<string>()];
        if (wrong.Length > 0)
        {
            return terminal.Refuse(wrong);
        }

        NativeHeap.Share();
        settings.ListensAsTold = listen is not null;
        string pages = listen ?? settings.Current.Installation.Page.Listen;
        try
        {
            using StoreLock? held = Lock(settings.Current.Installation);
            if ((FreePorts.Trouble(pages == Off ? null : pages, listen is null ? "page.listen" : "--listen (page.listen)") ?? FreePorts.Trouble(watch == Off ? null : watch, "--watch")) is { } taken)
            {
                await terminal.Messages.WriteLineAsync(taken).ConfigureAwait(false);
                return ExitCode.Failed;
            }

            return await OpenAndRunAsync(terminal, settings, mail, (pages == Off ? null : pages, watch == Off ? null : watch), cancellationToken).ConfigureAwait(false);
        }
        catch (StoreRefusedException refused)
        {
            await terminal.Messages.WriteLineAsync(refused.Message).ConfigureAwait(false);
            return ExitCode.Failed;
        }
    }

    private static string? ListenFault(string? listen) =>
        listen is null or Off || (System.Net.IPEndPoint.TryParse(listen, out _) && listen.Contains(':', StringComparison.Ordinal))
            ? null
            : $"--listen: '{listen}' is no address and port such as 127.0.0.1:8620.";

    // A store of its own has one daemon; daemons that share a server share the work.
    private static StoreLock? Lock(GraftWatchSettings installation) =>
        installation.Store.Kind == StoreKind.Sqlite ? StoreLock.Take(ServeSettings.StorePath(installation)) : null;

    private static async Task<int> OpenAndRunAsync(Terminal terminal, SettingsInForce settings, MailOptions mail, (string? Pages, string? Watch) ears, CancellationToken cancellationToken)
    {
        GraftWatchSettings installation = settings.Current.Installation;
        using ServiceManager? manager = ServiceManager.Find(Environment.GetEnvironmentVariable);
        manager?.Patience(LongestOpening, "Opening the store");
        (RecordsStore? store, string trouble) = await Installation.OpenStoreAsync(installation, terminal.Clock, checkForDamage: true, cancellationToken).ConfigureAwait(false);
        if (store is null)
        {
            await terminal.Messages.WriteLineAsync(trouble).ConfigureAwait(false);
            return ExitCode.Failed;
        }

        using var witness = new OutsideWitness(installation.Weather.Address);
        await using (store.ConfigureAwait(false))
        {
            if (await MovedStores.WhyNotServedAsync(installation, store, cancellationToken).ConfigureAwait(false) is { } why)
            {
                await terminal.Messages.WriteLineAsync(why).ConfigureAwait(false);
                return ExitCode.Failed;
            }

            var parts = new ServeParts
            {
                Settings = settings,
                Store = store,
                BeatServer = installation.Store.Kind == StoreKind.Postgresql ? StoreServer.Address(installation.Store, Environment.GetEnvironmentVariable, out _) : null,
                Mail = mail,
                Clock = terminal.Clock,
                Logging = ToStandardError,
                Listen = ears.Pages,
                Watch = ears.Watch,
                Manager = manager,
                Witness = witness,
            };
            return await RunAsync(parts, cancellationToken).ConfigureAwait(false);
        }
    }

    private static async Task<int> RunAsync(ServeParts parts, CancellationToken cancellationToken)
    {
        using IHost host = ServeHost.Build(parts);
        ServeState state = host.Services.GetRequiredService<ServeState>();
        await host.RunAsync(cancellationToken).ConfigureAwait(false);
        return state.IsStuck ? ExitCode.Failed : ExitCode.Fine;
    }

    private static void ToStandardError(ILoggingBuilder logging)
    {
        logging.SetMinimumLevel(LogLevel.Information);
        logging.AddFilter("Quartz", LogLevel.Warning);
        logging.AddFilter("System.Net.Http", LogLevel.Warning);
        logging.AddFilter("Microsoft", LogLevel.Warning);
        logging.AddFilter("Polly", LogLevel.Warning);
        logging.AddSimpleConsole(console =>
        {
            console.SingleLine = true;
            console.TimestampFormat = "yyyy-MM-dd HH:mm:ss ";
        });
        logging.Services.Configure<Microsoft.Extensions.Logging.Console.ConsoleLoggerOptions>(console => console.LogToStandardErrorThreshold = LogLevel.Trace);
    }
}
