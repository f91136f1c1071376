using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Pipeline;
using NodaTime;

namespace GraftWatch.Serving;

/// <summary>What the running program knows of itself; read by the health page and by the guard that ends a stuck process.</summary>
internal sealed class ServeState
{
    private readonly Lock gate = new();
    private readonly Dictionary<string, string> weatherTroubles = new(StringComparer.Ordinal);
    private readonly Dictionary<string, string> growerTroubles = new(StringComparer.Ordinal);
    private Instant? lastLook;
    private Instant? lastWeather;
    private Instant? lastAccepted;
    private string deliveryTrouble = string.Empty;
    private string settingsTrouble = string.Empty;

    /// <summary>Whether the guard ended the program.</summary>
    internal bool IsStuck { get; private set; }

    internal void Stuck() => IsStuck = true;

    internal void Looked(Instant at)
    {
        lock (gate)
        {
            lastLook = at;
        }
    }

    /// <summary>Another daemon that shares the store looked.</summary>
    internal void OtherLooked(Instant at)
    {
        lock (gate)
        {
            lastLook = lastLook is { } own && own > at ? own : at;
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
            bool news = growerTroubles.GetValueOrDefault(grower) != trouble;
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
                .. weatherTroubles.Select(pair => $"no weather for {pair.Key}: {pair.Value}"),
                .. growerTroubles.Select(pair => $"{pair.Key}: {pair.Value}"),
                .. new[] { deliveryTrouble, settingsTrouble }.Where(trouble => trouble.Length > 0),
            ];
            return new ServeReport(lastLook, lastWeather, lastAccepted, troubles);
        }
    }

    private static void Set(Dictionary<string, string> troubles, string key, string? trouble)
    {
        if (trouble is null)
        {
            troubles.Remove(key);
        }
        else
        {
            troubles[key] = trouble;
        }
    }
}

/// <summary>How the program stands.</summary>
/// <param name="LastLook">When it last looked through all growers' mornings; null before the first time.</param>
/// <param name="LastWeather">When the weather was last asked for.</param>
/// <param name="LastAccepted">When a mail server last took a letter.</param>
/// <param name="Troubles">What is not as it should be, one sentence each.</param>
internal sealed record ServeReport(Instant? LastLook, Instant? LastWeather, Instant? LastAccepted, IReadOnlyList<string> Troubles);
