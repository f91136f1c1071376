using GraftWatch.Aftercare.Grafts;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Serving;

/// <summary>Who gets letters now, and how: the growers of graftwatch.toml and those of the store's book, without those whose letters are stopped.</summary>
/// <remarks>A grower or place that stands in the file and in the book, whatever the case of the letters, is as the file says. Jobs ask once a pass.</remarks>
internal sealed class GrowersInForce(SettingsInForce settings, IGrowerBook book, IGrowerStops stops)
{
    private volatile IReadOnlyDictionary<(string Grower, string Channel), GrowerChannel> ownWays = new Dictionary<(string, string), GrowerChannel>();

    /// <summary>Reads file and book together.</summary>
    internal async Task<InForce> LoadAsync(CancellationToken cancellationToken)
    {
        ServeSettings current = settings.Current;
        IReadOnlyList<Grower> kept = await book.LoadGrowersAsync(cancellationToken).ConfigureAwait(false);
        IReadOnlyList<GrowerStop> stopped = await stops.LoadStopsAsync(cancellationToken).ConfigureAwait(false);
        HashSet<string> silent = new(stopped.Select(stop => stop.Grower), StringComparer.OrdinalIgnoreCase);
        HashSet<string> ofFile = new(current.Morning.Growers.Select(grower => grower.Name), StringComparer.OrdinalIgnoreCase);
        Grower[] ofBook = [.. kept.Where(grower => ofFile.Add(grower.Name))];
        Dictionary<string, Place> places = new(current.Morning.Places, StringComparer.OrdinalIgnoreCase);
        if (ofBook.Length > 0)
        {
            ofBook = await ByTheirChannelsAsync(ofBook, cancellationToken).ConfigureAwait(false);
            foreach (Place place in await book.LoadPlacesAsync(cancellationToken).ConfigureAwait(false))
            {
                places.TryAdd(place.Name, place);
            }
        }

        Grower[] all = [.. current.Morning.Growers, .. ofBook];
        return new InForce(current, current.Morning with { Growers = [.. all.Where(grower => !silent.Contains(grower.Name))], Places = places }, all, stopped);
    }

    /// <summary>A way that a grower of the book entered, as of the last reading; null when there is none of that name.</summary>
    internal GrowerChannel? OwnWay(string grower, string channel) => ownWays.GetValueOrDefault((grower, channel));

    private async Task<Grower[]> ByTheirChannelsAsync(Grower[] growers, CancellationToken cancellationToken)
    {
        ILookup<string, GrowerChannel> channels = await book.LoadAllChannelsAsync(cancellationToken).ConfigureAwait(false);
        var own = new Dictionary<(string, string), GrowerChannel>();
        for (int g = 0; g < growers.Length; g++)
        {
            GrowerChannel[] ways = [.. channels[growers[g].Name].Where(way => GrowerChannelKinds.All.Contains(way.Kind))];
            foreach (GrowerChannel way in ways.Where(way => way.Kind != GrowerChannelKinds.Mail))
            {
                own[(growers[g].Name, SlotName(way))] = way;
            }

            growers[g] = ways.Length == 0 ? growers[g] : ByTheirChannels(growers[g], ways);
        }

        ownWays = own;
        return growers;
    }

    /// <summary>A grower of the book with the ways they entered. Somebody who names no way for the morning gets it by mail.</summary>
    internal static Grower ByTheirChannels(Grower grower, IReadOnlyList<GrowerChannel> ways)
    {
        string[] morning = [.. ways.Where(way => way.Morning).Select(SlotName).Distinct()];
        GrowerChannel[] urgent = [.. ways.Where(way => way.Urgent)];
        GrowerChannel? held = urgent.FirstOrDefault(way => way.HeldFrom is not null && way.HeldTo is not null);
        return grower with
        {
            Morning = morning.Length > 0 ? morning : [LetterSlot.Mail],
            Urgent = [.. urgent.Select(SlotName).Distinct()],
            Wishes = grower.Wishes.HoldFrom is null && held is not null ? grower.Wishes with { HoldFrom = held.HeldFrom, HoldUntil = held.HeldTo } : grower.Wishes,
        };
    }

    private static string SlotName(GrowerChannel way) => way.Kind == GrowerChannelKinds.Mail ? LetterSlot.Mail : LetterSlot.Own(way.Name);
}

/// <summary>One consistent reading of who is served.</summary>
/// <param name="Settings">The settings it was read with.</param>
/// <param name="Morning">What a pass is run with: only growers who get letters, and every place known.</param>
/// <param name="Growers">All growers, those too whose letters are stopped.</param>
/// <param name="Stops">Whose letters are stopped.</param>
internal sealed record InForce(ServeSettings Settings, MorningSettings Morning, IReadOnlyList<Grower> Growers, IReadOnlyList<GrowerStop> Stops)
{
    /// <summary>Places whose weather is needed: those of the file, and those of growers who get letters.</summary>
    internal IReadOnlyList<Place> PlacesToWatch() =>
    [
        .. Settings.Morning.Places.Values
            .Concat(Morning.Growers.SelectMany(grower => grower.Places).Select(name => Morning.Places.GetValueOrDefault(name)).OfType<Place>())
            .DistinctBy(place => place.Name, StringComparer.OrdinalIgnoreCase),
    ];

    /// <summary>A grower by name, whether or not their letters are stopped; null when nobody has it.</summary>
    internal Grower? Find(string name) =>
        Growers.FirstOrDefault(grower => grower.Name == name) ?? Growers.FirstOrDefault(grower => string.Equals(grower.Name, name, StringComparison.OrdinalIgnoreCase));
}
