using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Operator;
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
    private readonly TaskCompletionSource firstLook = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private readonly Dictionary<string, Trouble> weatherTroubles = new(StringComparer.Ordinal);
    private readonly Dictionary<string, Trouble> growerTroubles = new(StringComparer.Ordinal);
    private readonly SortedDictionary<string, string> installationTroubles = new(StringComparer.Ordinal);
    private readonly List<LedgerEntry> lost = [];
    private readonly Dictionary<string, Instant> sources = new(StringComparer.Ordinal);
    private long weatherFailures;
    private Instant? lastLook;
    private Instant? lastWeather;
    private Instant? lastAccepted;
    private Instant? lastHandOver;
    private IReadOnlyList<WaitingOnChannel> waiting = [];
    private IReadOnlyList<ChannelTrouble> channelTroubles = [];
    private string settingsTrouble = string.Empty;
    private string? restartNeed;

    /// <summary>Whether the guard ended the program.</summary>
    internal bool IsStuck { get; private set; }

    internal void Stuck() => IsStuck = true;

    /// <summary>Ends when all growers were looked through for the first time.</summary>
    internal Task FirstLook => firstLook.Task;

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
        firstLook.TrySetResult();
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
    /// <param name="grower">Whose.</param>
    /// <param name="trouble">What; null for none.</param>
    /// <param name="isForOperator">Whether somebody must mend it or know of it: it will not pass by itself.</param>
    /// <returns>Whether this is news.</returns>
    internal bool Grower(string grower, string? trouble, bool isForOperator = false)
    {
        lock (gate)
        {
            bool news = growerTroubles.GetValueOrDefault(grower)?.Words != trouble;
            Set(growerTroubles, grower, trouble, isForOperator);
            return news;
        }
    }

    internal void Delivered(DeliveryTally tally, Instant at)
    {
        Pulse.Delivered();
        lock (gate)
        {
            lastAccepted = tally.Accepted > 0 ? at : lastAccepted;
            lastHandOver = at;
            waiting = tally.WaitingOn;
            channelTroubles = tally.Troubles;
            lost.AddRange(tally.Lost.Where(entry => entry.LastDetail != GrowerStop.NotSent));
            lost.RemoveRange(0, Math.Max(0, lost.Count - MostLost));
            lost.RemoveAll(entry => at - (entry.LastTryAt ?? at) > LostIsNews);
        }
    }

    private static string Sentence(string words) => char.ToUpperInvariant(words[0]) + words[1..].TrimEnd('.') + ".";

    private static string Words(ChannelTrouble trouble) => ChannelWords(trouble.Channel) + trouble.Reason switch
    {
        DeliveryReason.SignIn => " refuses the sign-in",
        DeliveryReason.Security => " offers no line that is safe",
        DeliveryReason.NotSetUp => " is not set up",
        _ => " cannot be reached",
    } + ": " + trouble.Detail;

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

    /// <summary>Notes how the edited files stand.</summary>
    /// <param name="faults">Why an edit was refused; empty when none was.</param>
    /// <param name="needsRestart">Which edits wait for a restart; null for none. Who edits is told on the pages and by the log, not by mail.</param>
    internal void Settings(IReadOnlyList<string> faults, string? needsRestart)
    {
        lock (gate)
        {
            restartNeed = needsRestart;
            settingsTrouble = faults.Count == 0 ? string.Empty : "an edit of the settings was refused: " + faults[0];
        }
    }

    /// <summary>Notes what is amiss with the machine or the installation, or that nothing is.</summary>
    /// <param name="key">Which matter.</param>
    /// <param name="trouble">A sentence; null for none.</param>
    internal void Installation(string key, string? trouble)
    {
        lock (gate)
        {
            if (trouble is null)
            {
                installationTroubles.Remove(key);
            }
            else
            {
                installationTroubles[key] = trouble;
            }
        }
    }

    /// <summary>What the operator is to be told. Waiting letters and missing weather are not: they pass, or end in something that is.</summary>
    internal IReadOnlyList<OperatorFact> FactsForOperator()
    {
        lock (gate)
        {
            return
            [
                .. channelTroubles.Where(trouble => trouble.Reason is DeliveryReason.SignIn or DeliveryReason.Security or DeliveryReason.NotSetUp)
                    .Select(trouble => new OperatorFact($"channel {trouble.Channel} {trouble.Reason}", Sentence(Words(trouble)))),
                .. Lasting(growerTroubles, GrowerTroubleLasts).Where(pair => pair.Value.IsForOperator)
                    .Select(pair => new OperatorFact($"grower {pair.Key} {pair.Value.Words}", Sentence($"{pair.Key}: {pair.Value.Words}"))),
                .. lost.Where(entry => entry.Letter.Slot.Kind != LetterKind.Operator).Select(entry => new OperatorFact($"lost {entry.Letter.MessageId}", Sentence(Words(entry)))),
                .. installationTroubles.Select(pair => new OperatorFact($"installation {pair.Key}", Sentence(pair.Value))),
                .. settingsTrouble.Length > 0 ? [new OperatorFact(settingsTrouble, Sentence(settingsTrouble))] : Array.Empty<OperatorFact>(),
            ];
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
            PlaceTrouble[] dark = [.. Lasting(weatherTroubles, WeatherTroubleLasts).Select(pair => new PlaceTrouble(pair.Key, pair.Value.Words))];
            string[] troubles =
            [
                .. new[] { Pulse.Held }.OfType<string>(),
                .. dark.Select(trouble => $"no weather for {trouble.Place}: {trouble.Why}"),
                .. Lasting(growerTroubles, GrowerTroubleLasts).Select(pair => $"{pair.Key}: {pair.Value.Words}"),
                .. channelTroubles.Select(Words),
                .. installationTroubles.Values,
                .. waiting.Select(Words),
                .. lost.Select(Words),
                .. new[] { settingsTrouble }.Where(trouble => trouble.Length > 0),
                .. new[] { restartNeed }.OfType<string>(),
            ];
            return new ServeReport(lastLook, lastWeather, lastAccepted, troubles) { LastHandOver = lastHandOver, WithoutWeather = dark };
        }
    }

    private IEnumerable<KeyValuePair<string, Trouble>> Lasting(Dictionary<string, Trouble> troubles, Duration lasts)
    {
        Instant now = Now();
        return troubles.Where(pair => now - pair.Value.At < lasts);
    }

    private void Set(Dictionary<string, Trouble> troubles, string key, string? words, bool isForOperator = false)
    {
        if (words is null)
        {
            troubles.Remove(key);
        }
        else
        {
            troubles[key] = new Trouble(words, Now(), isForOperator);
        }
    }

    private Instant Now() => Instant.FromDateTimeOffset(clock.GetUtcNow());

    private sealed record Trouble(string Words, Instant At, bool IsForOperator);
}

/// <summary>How the program stands.</summary>
/// <param name="LastLook">When it last looked through all growers' mornings; null before the first time.</param>
/// <param name="LastWeather">When the weather was last asked for.</param>
/// <param name="LastAccepted">When a mail server last took a letter.</param>
/// <param name="Troubles">What is not as it should be, one sentence each.</param>
internal sealed record ServeReport(Instant? LastLook, Instant? LastWeather, Instant? LastAccepted, IReadOnlyList<string> Troubles)
{
    /// <summary>When waiting letters were last gone through; null before the first time.</summary>
    public Instant? LastHandOver { get; init; }

    /// <summary>Places that have no weather; <see cref="Troubles"/> says each in a sentence too.</summary>
    public IReadOnlyList<PlaceTrouble> WithoutWeather { get; init; } = [];
}

/// <summary>A place without weather.</summary>
/// <param name="Place">Its name.</param>
/// <param name="Why">Why, as the source said it.</param>
internal sealed record PlaceTrouble(string Place, string Why);
