using GraftWatch.CommandLine;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>An installation with its store open, for one command.</summary>
internal sealed class OpenInstallation : IAsyncDisposable
{
    private readonly Grower? grower;

    private OpenInstallation(ServeSettings settings, RecordsStore store, Grower? grower)
    {
        Settings = settings;
        Store = store;
        this.grower = grower;
    }

    /// <summary>The settings, with the growers and places of the store's book beside those of the file.</summary>
    internal ServeSettings Settings { get; }

    internal RecordsStore Store { get; }

    /// <summary>The grower the command is about; only where it was opened for one.</summary>
    internal Grower Grower => grower ?? throw new InvalidOperationException("The installation was opened for nobody.");

    /// <summary>Zone of the grower, or of the first one; UTC while there is none.</summary>
    internal DateTimeZone Zone => grower?.Zone ?? (Settings.Morning.Growers is [var first, ..] ? first.Zone : DateTimeZone.Utc);

    /// <summary>Path of the grower's register file; null when their grafts live in the store.</summary>
    internal string? RegisterPath => Settings.Installation.Growers.FirstOrDefault(candidate => candidate.Name == Grower.Name)?.RegisterPath;

    /// <summary>Opens it for a command about one grower: the one named, else the first. Refuses with every fault printed.</summary>
    internal static Task<OpenInstallation?> OpenAsync(Terminal terminal, string? config, string? growerName, CancellationToken cancellationToken) =>
        OpenAsync(terminal, config, growerName, isAboutOne: true, cancellationToken);

    /// <summary>Opens it for a command about the whole of it, which may have no growers yet.</summary>
    internal static Task<OpenInstallation?> OpenWholeAsync(Terminal terminal, string? config, CancellationToken cancellationToken) =>
        OpenAsync(terminal, config, null, isAboutOne: false, cancellationToken);

    private static async Task<OpenInstallation?> OpenAsync(Terminal terminal, string? config, string? growerName, bool isAboutOne, CancellationToken cancellationToken)
    {
        if (Installation.Load(terminal, config, out IReadOnlyList<string> faults) is not { } settings)
        {
            terminal.Refuse(faults);
            return null;
        }

        (RecordsStore? store, string trouble) = await Installation.OpenStoreAsync(settings.Current.Installation, terminal.Clock, checkForDamage: false, cancellationToken).ConfigureAwait(false);
        if (store is null)
        {
            terminal.Refuse([trouble]);
            return null;
        }

        GrowerChoice choice = await GrowerChoice.OfAsync(settings, store, growerName, cancellationToken).ConfigureAwait(false);
        if (choice.Grower is null && isAboutOne)
        {
            await store.DisposeAsync().ConfigureAwait(false);
            terminal.Refuse([choice.Fault]);
            return null;
        }

        return new OpenInstallation(settings.Current with { Morning = choice.Morning }, store, choice.Grower);
    }

    public ValueTask DisposeAsync() => Store.DisposeAsync();
}
