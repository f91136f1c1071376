using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;

namespace GraftWatch.Pages.People;

/// <summary>Growers by mail address or name: those of the settings file first, then those of the store.</summary>
internal sealed class GrowerDirectory(SettingsInForce settings, RecordsStore store)
{
    /// <summary>The grower who gets letters at an address; null when nobody does.</summary>
    internal async Task<KnownGrower?> FindByAddressAsync(string address, CancellationToken cancellationToken) =>
        await FindAsync(grower => string.Equals(grower.Address, address, StringComparison.OrdinalIgnoreCase), cancellationToken).ConfigureAwait(false);

    /// <summary>The grower with a name; null when there is none.</summary>
    internal async Task<KnownGrower?> FindByNameAsync(string name, CancellationToken cancellationToken) =>
        await FindAsync(grower => string.Equals(grower.Name, name, StringComparison.Ordinal), cancellationToken).ConfigureAwait(false);

    /// <summary>The language the settings file gives a grower; null when it gives none.</summary>
    internal string? LanguageInFile(string grower) =>
        settings.Current.Installation.Growers.FirstOrDefault(candidate => candidate.Name == grower)?.Language;

    private async Task<KnownGrower?> FindAsync(Func<Grower, bool> wanted, CancellationToken cancellationToken)
    {
        if (settings.Current.Morning.Growers.FirstOrDefault(wanted) is { } inFile)
        {
            return new KnownGrower(inFile, IsKeptInFile: true);
        }

        return (await store.Book.LoadGrowersAsync(cancellationToken).ConfigureAwait(false)).FirstOrDefault(wanted) is { } inStore
            ? new KnownGrower(inStore, IsKeptInFile: false)
            : null;
    }
}

/// <summary>A grower and where their profile stands.</summary>
/// <param name="Grower">The grower.</param>
/// <param name="IsKeptInFile">Whether it stands in graftwatch.toml.</param>
internal sealed record KnownGrower(Grower Grower, bool IsKeptInFile);
