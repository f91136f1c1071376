using GraftWatch.CommandLine;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;

namespace GraftWatch.Inputs;

/// <summary>An installation with its store open, for one command.</summary>
internal sealed class OpenInstallation : IAsyncDisposable
{
    private OpenInstallation(ServeSettings settings, RecordsStore store, Grower grower)
    {
        Settings = settings;
        Store = store;
        Grower = grower;
    }

    internal ServeSettings Settings { get; }

    internal RecordsStore Store { get; }

    /// <summary>The grower the command is about.</summary>
    internal Grower Grower { get; }

    /// <summary>Path of the grower's register file; null when their grafts live in the store.</summary>
    internal string? RegisterPath => Settings.Installation.Growers.First(grower => grower.Name == Grower.Name).RegisterPath;

    /// <summary>Opens it, or refuses with every fault printed.</summary>
    internal static async Task<OpenInstallation?> OpenAsync(Terminal terminal, string? config, string? growerName, CancellationToken cancellationToken)
    {
        if (Installation.Load(terminal, config, out IReadOnlyList<string> faults) is not { } settings)
        {
            terminal.Refuse(faults);
            return null;
        }

        IReadOnlyList<Grower> growers = settings.Current.Morning.Growers;
        Grower? grower = growerName is null ? growers[0] : growers.FirstOrDefault(candidate => string.Equals(candidate.Name, growerName, StringComparison.OrdinalIgnoreCase));
        if (grower is null)
        {
            terminal.Refuse([$"{settings.Current.Installation.File} has no grower named {growerName}; it has {string.Join(", ", growers.Select(each => each.Name))}."]);
            return null;
        }

        (RecordsStore? store, string trouble) = await Installation.OpenStoreAsync(settings.Current.Installation, terminal.Clock, checkForDamage: false, cancellationToken).ConfigureAwait(false);
        if (store is null)
        {
            terminal.Refuse([trouble]);
            return null;
        }

        return new OpenInstallation(settings.Current, store, grower);
    }

    public ValueTask DisposeAsync() => Store.DisposeAsync();
}
