using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;

namespace GraftWatch.Pages.People;

/// <summary>Growers by mail address or name: those of the settings file first, then those of the store.</summary>
internal sealed class GrowerDirectory(SettingsInForce settings, RecordsStore store)
{
    /// <summary>The grower who gets letters at an address; null when nobody does.</summary>
    internal async Task<KnownGrower?> FindByAddressAsync(string address, CancellationToken cancellationToken) =>
        InFile(grower => string.Equals(grower.Address, address, StringComparison.OrdinalIgnoreCase))
        ?? await InStoreAsync(await store.Book.FindGrowerByAddressAsync(address, cancellationToken).ConfigureAwait(false), cancellationToken).ConfigureAwait(false);

    /// <summary>The grower with a name, whatever its case; null when there is none.</summary>
    internal async Task<KnownGrower?> FindByNameAsync(string name, CancellationToken cancellationToken) =>
        InFile(grower => string.Equals(grower.Name, name, StringComparison.OrdinalIgnoreCase))
        ?? await InStoreAsync(await store.Book.FindGrowerAsync(name, cancellationToken).ConfigureAwait(false), cancellationToken).ConfigureAwait(false);

    /// <summary>Whether a place has this name already, whatever the case.</summary>
    internal async Task<bool> IsPlaceTakenAsync(string name, CancellationToken cancellationToken) =>
        PlacesOfFile.Contains(name, StringComparer.OrdinalIgnoreCase)
        || (await store.Book.LoadPlacesAsync(cancellationToken).ConfigureAwait(false)).Any(place => string.Equals(place.Name, name, StringComparison.OrdinalIgnoreCase));

    /// <summary>Whether a place is not one grower's alone: it stands in the settings file, or another grower of the store has it.</summary>
    internal async Task<bool> IsPlaceSharedAsync(string name, string grower, CancellationToken cancellationToken) =>
        PlacesOfFile.Contains(name, StringComparer.OrdinalIgnoreCase)
        || (await store.Book.LoadGrowersAsync(cancellationToken).ConfigureAwait(false)).Any(other => other.Name != grower && other.Places.Contains(name, StringComparer.OrdinalIgnoreCase));

    /// <summary>Names of the places of the settings file.</summary>
    internal IReadOnlyCollection<string> PlacesOfFile => [.. settings.Current.Morning.Places.Keys];

    /// <summary>The places of a grower that are known, in their order.</summary>
    internal async Task<IReadOnlyList<Place>> PlacesOfAsync(Grower grower, CancellationToken cancellationToken)
    {
        Dictionary<string, Place> places = new(settings.Current.Morning.Places, StringComparer.OrdinalIgnoreCase);
        foreach (Place place in await store.Book.LoadPlacesAsync(cancellationToken).ConfigureAwait(false))
        {
            places.TryAdd(place.Name, place);
        }

        return [.. grower.Places.Select(name => places.GetValueOrDefault(name)).OfType<Place>()];
    }

    /// <summary>The language the settings file gives a grower; null when it gives none.</summary>
    internal string? LanguageInFile(string grower) =>
        settings.Current.Installation.Growers.FirstOrDefault(candidate => candidate.Name == grower)?.Language;

    private KnownGrower? InFile(Func<Grower, bool> wanted) =>
        settings.Current.Morning.Growers.FirstOrDefault(wanted) is { } grower ? new KnownGrower(grower, IsKeptInFile: true) : null;

    private async Task<KnownGrower?> InStoreAsync(Grower? grower, CancellationToken cancellationToken)
    {
        // A grower who stands in the file too is as the file says.
        if (grower is null || InFile(candidate => string.Equals(candidate.Name, grower.Name, StringComparison.OrdinalIgnoreCase)) is not null)
        {
            return null;
        }

        IReadOnlyList<GrowerChannel> ways = await store.Book.LoadChannelsAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        return new KnownGrower(ways.Count == 0 ? grower : GrowersInForce.ByTheirChannels(grower, ways), IsKeptInFile: false);
    }
}

/// <summary>A grower and where their profile stands.</summary>
/// <param name="Grower">The grower.</param>
/// <param name="IsKeptInFile">Whether it stands in graftwatch.toml.</param>
internal sealed record KnownGrower(Grower Grower, bool IsKeptInFile);
