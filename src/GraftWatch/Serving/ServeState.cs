using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Serving;

/// <summary>What the running program knows of itself; read by the health page and by the guard that ends a stuck process.</summary>
internal sealed class ServeState(TimeProvider clock)
{
    private const int MostLost = 50;

    // A letter that was lost yesterday is told by the next letter and the ledger; a page that is red for ever tells nothing.
    private static readonly Duration LostIsNews = Duration.FromHours(24);

    // Every look notes a trouble again that is still there; one that is not was mended, perhaps by another daemon.
    private static readonly Duration GrowerTroubleLasts = Duration.FromMinutes(5);
    private static readonly Duration WeatherTroubleLasts = Duration.FromHours(4);

    private readonly Lock gate = new();
    private readonly Dictionary<string, Trouble> weatherTroubles = new(StringComparer.Ordinal);
    private readonly Dictionary<string, Trouble> growerTroubles = new(StringComparer.Ordinal);
    private readonly Dictionary<string, Instant> sources = new(StringComparer.Ordinal);
    private long weatherFailures;
    private Instant? lastLook;
    private Instant? lastWeather;
    private Instant? lastAccepted;
    private readonly List<LedgerEntry> lost = [];
    private IReadOnlyList<WaitingOnChannel> waiting = [];
    private IReadOnlyList<ChannelTrouble> channelTroubles = [];
    private string settingsTrouble = string.Empty;
    private string? houseTrouble;
    private string? diskTrouble;

    /// <summary>Whether the guard ended the program.</summary>
    internal bool IsStuck { get; private set; }

    internal void Stuck() => IsStuck = true;

    /// <summary>Whether it gets on with its work.</summary>
    internal Pulse Pulse { get; } = new(clock);

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

        Pulse.Looked();
    }

    internal void Weather(IEnumerable<PlaceWeather> places, Instant at)
    {
        lock (gate)
        {
            lastWeather = at;
            foreach (PlaceWeather place in places)
            {
                weatherFailures += place.Weather is null ? 1 : 0;
                if (place is { Weather: not null, Forecast: { IssuedAt: { } issued, Source: var source } })
                {
                    sources[source] = Instant.Max(issued, sources.GetValueOrDefault(source, Instant.MinValue));
                }

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
        Pulse.Delivered();
        lock (gate)
        {
            lastAccepted = tally.Accepted > 0 ? at : lastAccepted;
            waiting = tally.WaitingOn;
            channelTroubles = tally.Troubles;
            lost.AddRange(tally.Lost.Where(entry => entry.LastDetail != GrowerStop.NotSent));
            lost.RemoveRange(0, Math.Max(0, lost.Count - MostLost));
            lost.RemoveAll(entry => at - (entry.LastTryAt ?? at) > LostIsNews);
        }
    }

    private static string Words(WaitingOnChannel waits) =>
        (waits.Letters == 1 ? "1 letter waits" : $"{waits.Letters} letters wait") + " for " + ChannelWords(waits.Channel);

    private static string Words(LedgerEntry entry) =>
        $"the {KindWords(entry.Letter.Slot.Kind)} of {LocalDatePattern.Iso.Format(entry.Letter.Slot.Date)} to {entry.Letter.Slot.Grower} by {ChannelWords(entry.Letter.Slot.Channel)} was given up: {entry.LastDetail}";

    private static string KindWords(LetterKind kind) => kind switch
    {
        LetterKind.Morning => "letter",
        LetterKind.Urgent => "urgent note",
        LetterKind.Operator => "mail about the program",
        _ => throw new System.Diagnostics.UnreachableException(),
    };

    private static string ChannelWords(string channel) =>
        channel == LetterSlot.Mail ? "the mail server" : LetterSlot.IsOwn(channel, out string name) ? "a grower's channel " + name : "the channel " + channel;

    internal void Settings(IReadOnlyList<string> faults)
    {
        lock (gate)
        {
            settingsTrouble = faults.Count == 0 ? string.Empty : "an edit of the settings was refused: " + faults[0];
        }
    }

    /// <summary>How the keeping of the store went.</summary>
    internal void House(string? trouble)
    {
        lock (gate)
        {
            houseTrouble = trouble;
        }
    }

    /// <summary>Whether the disk has room.</summary>
    internal void Disk(string? trouble)
    {
        lock (gate)
        {
            diskTrouble = trouble;
        }
    }

    /// <summary>When each source's newest forecast was issued.</summary>
    internal IReadOnlyDictionary<string, Instant> Sources()
    {
        lock (gate)
        {
            return new Dictionary<string, Instant>(sources, StringComparer.Ordinal);
        }
    }

    /// <summary>How often a place had no fresh weather.</summary>
    internal long WeatherFailures
    {
        get
        {
            lock (gate)
            {
                return weatherFailures;
            }
        }
    }

    /// <summary>A copy that does not change any more.</summary>
    internal ServeReport Report()
    {
        lock (gate)
        {
            string[] troubles =
            [
                .. new[] { Pulse.Held, diskTrouble, houseTrouble }.OfType<string>(),
                .. Lasting(weatherTroubles, WeatherTroubleLasts).Select(pair => $"no weather for {pair.Key}: {pair.Value.Words}"),
                .. Lasting(growerTroubles, GrowerTroubleLasts).Select(pair => $"{pair.Key}: {pair.Value.Words}"),
                .. channelTroubles.Select(trouble => $"{ChannelWords(trouble.Channel)} cannot be used ({trouble.Reason}): {trouble.Detail}"),
                .. waiting.Select(Words),
                .. lost.Select(Words),
                .. new[] { settingsTrouble }.Where(trouble => trouble.Length > 0),
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
