using System.Collections.Concurrent;
using System.Diagnostics;
using System.Globalization;
using System.Text.RegularExpressions;
using GraftWatch.Crash.Lives;
using NodaTime;

namespace GraftWatch.Crash.Watching;

/// <summary>One installation from its first start to a quiet end, with many lives of the program in between.</summary>
internal sealed partial class Season : IAsyncDisposable
{
    private readonly SharedClock clock;
    private readonly ConcurrentQueue<long> passes = new();
    private readonly ConcurrentQueue<long> firstPasses = new();
    private readonly ConcurrentQueue<string> errors = new();
    private readonly ConcurrentQueue<double> windowsMs = new();
    private readonly ConcurrentDictionary<string, bool> points = new(StringComparer.Ordinal);
    private readonly ConcurrentQueue<long> notes = new();
    private readonly ConcurrentQueue<(string Name, DateOnly Date)> told = new();
    private readonly ConcurrentDictionary<string, bool> noted = new(StringComparer.Ordinal);
    private readonly HashSet<(string MessageId, int Life)> doubts = [];
    private readonly Dictionary<string, int> expected = new(StringComparer.Ordinal);
    private readonly ConcurrentQueue<DayMark> days = new();
    private readonly List<(DateTime From, DateTime To)> setBacks = [];
    private readonly string server;
    private bool passFailed;
    private int lastLife;
    private long highest;
    private readonly bool ownFolder;

    /// <summary>Prepares a season.</summary>
    /// <param name="start">Simulated time of the first start.</param>
    /// <param name="folder">Where the installation lives; null for a folder of its own.</param>
    /// <param name="server">Connection string of a PostgreSQL server; the season gets a database there. Empty for a file.</param>
    internal Season(Instant start, string? folder = null, string server = "")
    {
        this.server = server;
        ownFolder = folder is null;
        Folder = folder ?? Directory.CreateTempSubdirectory("graftwatch-season-").FullName;
        ClockFile = Path.Combine(Directory.CreateTempSubdirectory("graftwatch-clock-").FullName, "clock");
        clock = new SharedClock(ClockFile) { True = start };
        Start = start;
        Store = server.Length == 0 ? Path.Combine(Folder, "data", "graftwatch.db") : SeasonDatabase.Create(server);
        Sink = new LetterSink(() => clock.True.ToUnixTimeTicks(), () => Math.Max(highest, clock.True.ToUnixTimeTicks()));
        // A clock set back here takes no forecast back that the service has given.
        Weather = new WeatherService(() => Instant.FromUnixTimeTicks(Math.Max(highest, clock.True.ToUnixTimeTicks())));
        File.WriteAllText(Path.Combine(Folder, "graftwatch.toml"), Reader.Settings(Reader.All, Sink.Port, Weather.Address));
    }

    internal string Folder { get; }

    internal string ClockFile { get; }

    /// <summary>Whether the installation stays on the disk afterwards, for somebody to look at.</summary>
    internal bool IsKept { get; set; }

    /// <summary>Whether the disk may be full: what the program says about that is no fault, and a morning it could not make then is none that must be.</summary>
    internal bool DiskMayBeFull { get; init; }

    /// <summary>Events that are told as errors and are none of the program's own: a service that is away, an edit that is wrong.</summary>
    internal IReadOnlyDictionary<string, int> Expected => expected;

    /// <summary>Names of events that are counted in <see cref="Expected"/> instead of being a fault.</summary>
    internal IReadOnlySet<string> Tolerated { get; init; } = new HashSet<string>();

    /// <summary>Whether no forecast was to be had at an instant.</summary>
    internal Func<Instant, bool> IsWeatherAway { get; init; } = _ => false;

    /// <summary>Bytes in use after a full collection, once a simulated day, with the number of the life.</summary>
    internal IReadOnlyCollection<DayMark> Days => days;

    /// <summary>What the program said about a full disk.</summary>
    internal int ToldOfFullDisk { get; private set; }

    /// <summary>Receipts that the program had noted.</summary>
    internal int ReceiptsNoted => noted.Count;

    /// <summary>Path of the store, or connection string of its database.</summary>
    internal string Store { get; }

    internal Instant Start { get; }

    internal LetterSink Sink { get; }

    internal WeatherService Weather { get; }

    /// <summary>Lives so far.</summary>
    internal int Lives => Sink.Life;

    /// <summary>Instants of the passes that were completed.</summary>
    internal IReadOnlyCollection<long> Passes => passes;

    /// <summary>Instants of the first completed pass of each life, in which all jobs were done.</summary>
    internal IReadOnlyCollection<long> FirstPasses => firstPasses;

    /// <summary>What the program logged as an error, and what it said that nobody expected.</summary>
    internal IReadOnlyCollection<string> Errors => errors;

    /// <summary>Points it came to.</summary>
    internal ICollection<string> Points => points.Keys;

    /// <summary>Milliseconds from "250" to the noted receipt.</summary>
    internal IReadOnlyCollection<double> WindowsMs => windowsMs;

    /// <summary>Notes of growers that the program said it has.</summary>
    internal IReadOnlyCollection<long> Notes => notes;

    /// <summary>Mornings of which the program told that they passed without a letter.</summary>
    internal IReadOnlyCollection<(string Name, DateOnly Date)> Told => told;

    /// <summary>Letters the sink had and the store did not know of when a life ended.</summary>
    internal IReadOnlySet<(string MessageId, int Life)> Doubts => doubts;

    internal Instant Now => clock.True;

    internal LifeOptions Options => new()
    {
        Folder = Folder,
        Clock = ClockFile,
        MailPort = Sink.Port,
        Weather = Weather.Address,
        Postgres = server.Length == 0 ? string.Empty : Store,
    };

    /// <summary>Starts a life.</summary>
    internal Process Begin(LifeOptions options)
    {
        Sink.Life++;
        return Child.Start(Hear, options.ToWords());
    }

    /// <summary>Waits until a life has ended, by itself or by a kill, and looks what the store knew then.</summary>
    /// <returns>Whether it ended by a kill.</returns>
    internal async Task<bool> EndAsync(Process life, TimeSpan patience)
    {
        using var late = new CancellationTokenSource(patience);
        bool slow = false;
        try
        {
            await life.WaitForExitAsync(late.Token);
        }
        catch (OperationCanceledException)
        {
            slow = true;
            await Child.KillAsync(life);
        }

        life.WaitForExit();
        if (slow)
        {
            errors.Enqueue($"life {Lives} did not come to its end within {patience.TotalSeconds:0} s");
        }
        else if (life.ExitCode is not (0 or 137) && !DiskMayBeFull)
        {
            errors.Enqueue($"life {Lives} ended with {life.ExitCode}");
        }

        Sink.KillAt(null);
        Weather.AtHalf(null);
        await LookForDoubtsAsync();
        return life.ExitCode == 137 && !slow;
    }

    /// <summary>Kills a life now.</summary>
    internal async Task KillAsync(Process life)
    {
        await Child.KillAsync(life);
        await LookForDoubtsAsync();
    }

    /// <summary>Cuts the power of the disk the installation lives on.</summary>
    internal async Task CutPowerAsync(Disk disk, Process life)
    {
        await disk.CutPowerAsync(life);
        await LookForDoubtsAsync();
        HashSet<string> kept = [.. StoreReader.Read(Store).Where(letter => letter.State == "accepted").Select(letter => letter.MessageId)];
        foreach (string lost in noted.Keys.Where(id => !kept.Contains(id)))
        {
            errors.Enqueue($"lost: the receipt of {lost} had been noted and is gone after the power cut");
        }
    }

    /// <summary>The machine is away for a while; a negative time is a clock that is set back.</summary>
    internal void Away(Duration time)
    {
        highest = Math.Max(highest, clock.True.ToUnixTimeTicks());
        if (time < Duration.Zero)
        {
            setBacks.Add((clock.True.ToDateTimeUtc(), (clock.True + time).ToDateTimeUtc()));
        }

        clock.True += time;
    }

    /// <summary>The earliest that the clock can have shown after an instant had been reached: the instant, or where it was set back to from behind it.</summary>
    internal DateTime EarliestAfter(DateTime instant) =>
        setBacks.Where(back => back.From >= instant && back.To < instant).Select(back => back.To).DefaultIfEmpty(instant).Min();

    /// <summary>Lets the program live unharmed until all is quiet and some time has passed.</summary>
    internal async Task QuietAsync(LifeOptions options, TimeSpan patience, Duration? time = null)
    {
        Process life = Begin(options with { Point = string.Empty, UntilSeconds = (clock.True + (time ?? Duration.FromHours(2))).ToUnixTimeSeconds() });
        if (await EndAsync(life, patience))
        {
            errors.Enqueue("the last life was killed");
        }
    }

    public async ValueTask DisposeAsync()
    {
        await Sink.DisposeAsync();
        await Weather.DisposeAsync();
        clock.Dispose();
        Directory.Delete(Path.GetDirectoryName(ClockFile)!, recursive: true);
        if (IsKept)
        {
            return;
        }

        if (server.Length > 0)
        {
            SeasonDatabase.Drop(server, Store);
        }

        if (ownFolder)
        {
            Directory.Delete(Folder, recursive: true);
        }
    }

    private void Hear(string line)
    {
        switch (line.Split(' ', 2))
        {
            case ["P", var ticks]:
                if (!passFailed)
                {
                    long at = long.Parse(ticks, CultureInfo.InvariantCulture);
                    passes.Enqueue(at);
                    if (lastLife != Lives)
                    {
                        lastLife = Lives;
                        firstPasses.Enqueue(at);
                    }
                }

                passFailed = false;
                break;
            case ["N", var note]:
                notes.Enqueue(long.Parse(note, CultureInfo.InvariantCulture));
                break;
            case ["M", var accounts] when accounts.Split(' ') is [var used, var written]:
                days.Enqueue(new DayMark(Lives, clock.True, long.Parse(used, CultureInfo.InvariantCulture), long.Parse(written, CultureInfo.InvariantCulture)));
                break;
            case ["E", var words] when Tolerated.Contains(words.Split(' ', 2)[0]):
                string name = words.Split(' ', 2)[0];
                expected[name] = expected.GetValueOrDefault(name) + 1;
                break;
            case ["H", var point]:
                points[point] = true;
                break;
            case ["F", var words]:
                Receipt(words.Split(' '));
                break;
            case ["E", var words] when DiskMayBeFull && FullWords().IsMatch(words):
                // Whatever it was that found no room, the mornings may have been passed over with it.
                ToldOfFullDisk++;
                passFailed = true;
                break;
            // Why a letter was given up is read in the store.
            case ["E", var words] when words.StartsWith("LetterGivenUp ", StringComparison.Ordinal):
            case ["W", _]:
                break;
            case ["E", var words] when MissedWords().Match(words) is { Success: true } missed:
                told.Enqueue((missed.Groups[1].Value, DateOnly.ParseExact(missed.Groups[2].Value, "yyyy-MM-dd", CultureInfo.InvariantCulture)));
                break;
            default:
                errors.Enqueue($"life {Lives}: {line}");
                break;
        }
    }

    private void Receipt(string[] words)
    {
        noted[words[0]] = true;
        long at = long.Parse(words[1], CultureInfo.InvariantCulture);
        if (Sink.Letters.LastOrDefault(letter => letter.MessageId == words[0] && letter.SaidAt != 0 && letter.Life == Lives) is { } letter)
        {
            windowsMs.Enqueue(Stopwatch.GetElapsedTime(letter.SaidAt, at).TotalMilliseconds);
        }
    }

    private async Task LookForDoubtsAsync()
    {
        await Sink.DrainAsync();
        HashSet<string> accepted = [.. StoreReader.Read(Store).Where(letter => letter.State == "accepted").Select(letter => letter.MessageId)];
        foreach (SunkLetter letter in Sink.Letters.Where(letter => letter.Life == Lives && !accepted.Contains(letter.MessageId)))
        {
            doubts.Add((letter.MessageId, letter.Life));
        }
    }

    [GeneratedRegex(@"^MorningMissed (\w+): the letter of (\S+) was not made in time")]
    private static partial Regex MissedWords();

    [GeneratedRegex("disk is full|No space left|no room|disk I/O error", RegexOptions.IgnoreCase)]
    private static partial Regex FullWords();
}
