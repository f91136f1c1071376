using GraftWatch.Checks;
using GraftWatch.CommandLine;
using GraftWatch.Letters;
using GraftWatch.Records;
using GraftWatch.Serving;
using GraftWatch.Settings;

namespace GraftWatch.Pages.FirstStart;

/// <summary>
/// The pages that stand in for the daemon while there are no settings: same frame, same guards, a store that is thrown away. Nothing
/// of the installation is touched before the last button.
/// </summary>
internal sealed class FirstStartHost : IAsyncDisposable
{
    // The frame wants settings; these know nobody and send nothing, but for a place that is searched by name.
    private static string NoSettings(FirstStartPlan plan) =>
        $"data_folder = \"data\"\n[page]\ngeocoder = \"{plan.Geocoder.AbsoluteUri}\"\n[operator]\naddress = \"nobody@first-start.invalid\"\n";

    private readonly string scratch;
    private readonly SqliteStore store;
    private readonly WebApplication application;

    private FirstStartHost(string scratch, SqliteStore store, WebApplication application, FirstStartDesk desk)
    {
        this.scratch = scratch;
        this.store = store;
        this.application = application;
        Desk = desk;
    }

    /// <summary>What is asked and answered.</summary>
    internal FirstStartDesk Desk { get; }

    /// <summary>Where it listens.</summary>
    internal Uri Address => new(application.Urls.First());

    /// <summary>Starts listening.</summary>
    /// <param name="plan">Where to listen and to write.</param>
    /// <param name="cancellationToken">Ends the start.</param>
    internal static async Task<FirstStartHost> StartAsync(FirstStartPlan plan, CancellationToken cancellationToken)
    {
        string scratch = Directory.CreateTempSubdirectory("graftwatch-first-start-").FullName;
        await File.WriteAllTextAsync(Path.Combine(scratch, SettingsLoader.InstallationName), NoSettings(plan), cancellationToken).ConfigureAwait(false);
        SettingsInForce settings = SettingsInForce.Load(scratch, out IReadOnlyList<string> faults) ?? throw new InvalidOperationException(string.Join('\n', faults));
        SqliteStore store = await SqliteStore.OpenAsync(ServeSettings.StorePath(settings.Current.Installation), new SqliteStoreOptions { Clock = plan.Clock }, cancellationToken).ConfigureAwait(false);
        var desk = new FirstStartDesk(plan.Tell);
        var parts = new ServeParts { Settings = settings, Store = store, Mail = new MailOptions(), Clock = plan.Clock, Logging = plan.Logging, Listen = plan.Listen };
        WebApplicationBuilder builder = WebApplication.CreateEmptyBuilder(new WebApplicationOptions { ApplicationName = "graftwatch" });
        builder.WebHost.UseKestrelCore().ConfigureKestrel(Site.Bound).ConfigureKestrel(options => WatchLine.Listen(options, parts));
        parts.Logging(builder.Logging);
        builder.Services.AddSingleton(plan.Clock);
        builder.Services.AddSingleton(settings);
        builder.Services.AddFrame(parts);
        builder.Services.AddSingleton(plan);
        builder.Services.AddSingleton(desk);
        builder.Services.AddSingleton(new CheckScope(new Terminal(TextWriter.Null, TextWriter.Null, plan.Clock, scratch), scratch, new CheckSurroundings()));
        builder.Services.AddSingleton<FirstStartWriting>();
        builder.Services.AddPages<EnterPages>();
        builder.Services.AddPages<PlacePages>();
        builder.Services.AddPages<MailPages>();
        builder.Services.AddPages<FirstGrowerPages>();
        builder.Services.AddPages<RegisterPages>();
        builder.Services.AddPages<FinishPages>();
        WebApplication application = builder.Build();
        application.MapSite();
        var host = new FirstStartHost(scratch, store, application, desk);
        try
        {
            await application.StartAsync(cancellationToken).ConfigureAwait(false);
            return host;
        }
        catch
        {
            await host.DisposeAsync().ConfigureAwait(false);
            throw;
        }
    }

    public async ValueTask DisposeAsync()
    {
        await application.StopAsync(CancellationToken.None).ConfigureAwait(false);
        await application.DisposeAsync().ConfigureAwait(false);
        await store.DisposeAsync().ConfigureAwait(false);
        Directory.Delete(scratch, recursive: true);
    }
}

/// <summary>What a first start is begun with.</summary>
internal sealed record FirstStartPlan
{
    /// <summary>Folder the settings are written to.</summary>
    public required string Folder { get; init; }

    /// <summary>Address and port to listen on.</summary>
    public required string Listen { get; init; }

    /// <summary>Whether the address was asked for and therefore belongs into the settings.</summary>
    public bool KeepsListen { get; init; }

    /// <summary>Folder of the store as the settings will name it.</summary>
    public string DataFolder { get; init; } = "data";

    /// <summary>Where a place is searched by name when somebody presses that button; the settings then name none.</summary>
    public Uri Geocoder { get; init; } = new("https://geocoding-api.open-meteo.com");

    /// <summary>The clock.</summary>
    public required TimeProvider Clock { get; init; }

    /// <summary>Where the log goes.</summary>
    public required Action<ILoggingBuilder> Logging { get; init; }

    /// <summary>Tells who runs the machine a fresh code.</summary>
    public required Action<string> Tell { get; init; }
}
