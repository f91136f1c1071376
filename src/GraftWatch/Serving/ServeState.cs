using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Pipeline;
using NodaTime;

namespace GraftWatch.Serving;

/// <summary>What the running program knows of itself; read by the health page and by the guard that ends a stuck process.</summary>
internal sealed class ServeState(TimeProvider clock)
{
    // Every look notes a trouble again that is still there; one that is not was mended, perhaps by another daemon.
    private static readonly Duration GrowerTroubleLasts = Duration.FromMinutes(5);
    private static readonly Duration WeatherTroubleLasts = Duration.FromHours(4);

    private readonly Lock gate = new();
    private readonly Dictionary<string, Trouble> weatherTroubles = new(StringComparer.Ordinal);
    private readonly Dictionary<string, Trouble> growerTroubles = new(StringComparer.Ordinal);
    private Instant? lastLook;
    private Instant? lastWeather;
    private Instant? lastAccepted;
    private string deliveryTrouble = string.Empty;
    private string settingsTrouble = string.Empty;
    private string roomTrouble = string.Empty;
    private IReadOnlyList<string> houseTroubles = [];

    /// <summary>Whether the guard ended the program.</summary>
    internal bool IsStuck { get; private set; }

    internal void Stuck() => IsStuck = true;

    /// <summary>Notes that a share of the growers was looked through. Only a look through all of them is progress: see <see cref="AllLooked"/>.</summary>
    internal void Looked(MorningShare share, Instant at)
    {
        if (share.Of == 1)
        {
            AllLooked(at);
        }
    }

    /// <summary>Notes that all growers were looked through, by this daemon or by several together.</summary>
    internal void AllLooked(Instant at)
    {
        lock (gate)
        {
            lastLook = at;
        }
    }

    internal void Weather(IEnumerable<PlaceWeather> places, Instant at)
    {
        lock (gate)
        {
            lastWeather = at;
            foreach (PlaceWeather place in places)
            {
                Set(weatherTroubles, place.Place.Name, place.Weather is null ? place.Trouble ?? "no hours" : null);
            }
        }
    }

    /// <summary>Notes a grower's trouble, or that there is none.</summary>
    /// <returns>Whether this is news.</returns>
    internal bool Grower(string grower, string? trouble)
    {
        lock (gate)
        {
            bool news = growerTroubles.GetValueOrDefault(grower)?.Words != trouble;
            Set(growerTroubles, grower, trouble);
            return news;
        }
    }

    internal void Delivered(DeliveryTally tally, Instant at)
    {
        lock (gate)
        {
            lastAccepted = tally.Accepted > 0 ? at : lastAccepted;
            deliveryTrouble = tally switch
            {
                { GivenUp: > 0 } => $"{tally.GivenUp} letters were given up",
                { Waiting: > 0 } => $"{tally.Waiting} letters wait for the mail server",
                _ => string.Empty,
            };
        }
    }

    /// <summary>Notes what is amiss with the copies of the store; none when all is well.</summary>
    internal void House(IReadOnlyList<string> troubles)
    {
        lock (gate)
        {
            houseTroubles = troubles;
        }
    }

    /// <summary>Notes that the disk has too little room; empty when it has enough.</summary>
    internal void Room(string trouble)
    {
        lock (gate)
        {
            roomTrouble = trouble;
        }
    }

    internal void Settings(IReadOnlyList<string> faults)
    {
        lock (gate)
        {
            settingsTrouble = faults.Count == 0 ? string.Empty : "an edit of the settings was refused: " + faults[0];
        }
    }

    /// <summary>A copy that does not change any more.</summary>
    internal ServeReport Report()
    {
        lock (gate)
        {
            string[] troubles =
            [
                .. Lasting(weatherTroubles, WeatherTroubleLasts).Select(pair => $"no weather for {pair.Key}: {pair.Value.Words}"),
                .. Lasting(growerTroubles, GrowerTroubleLasts).Select(pair => $"{pair.Key}: {pair.Value.Words}"),
                .. houseTroubles,
                .. new[] { deliveryTrouble, settingsTrouble, roomTrouble }.Where(trouble => trouble.Length > 0),
            ];
            return new ServeReport(lastLook, lastWeather, lastAccepted, troubles);
        }
    }

    private IEnumerable<KeyValuePair<string, Trouble>> Lasting(Dictionary<string, Trouble> troubles, Duration lasts)
    {
        Instant now = Now();
        return troubles.Where(pair => now - pair.Value.At < lasts);
    }

    private void Set(Dictionary<string, Trouble> troubles, string key, string? words)
    {
        if (words is null)
        {
            troubles.Remove(key);
        }
        else
        {
            troubles[key] = new Trouble(words, Now());
        }
    }

    private Instant Now() => Instant.FromDateTimeOffset(clock.GetUtcNow());

    private sealed record Trouble(string Words, Instant At);
}

/// <summary>How the program stands.</summary>
/// <param name="LastLook">When it last looked through all growers' mornings; null before the first time.</param>
/// <param name="LastWeather">When the weather was last asked for.</param>
/// <param name="LastAccepted">When a mail server last took a letter.</param>
/// <param name="Troubles">What is not as it should be, one sentence each.</param>
internal sealed record ServeReport(Instant? LastLook, Instant? LastWeather, Instant? LastAccepted, IReadOnlyList<string> Troubles);
