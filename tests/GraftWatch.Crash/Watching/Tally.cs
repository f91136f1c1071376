using System.Globalization;

namespace GraftWatch.Crash.Watching;

/// <summary>What many seasons came to.</summary>
public sealed class Tally
{
    private const int MostFaults = 30;
    private readonly List<double> windowsMs = [];
    private readonly List<string> faults = [];
    private readonly List<string> notReached = [];

    /// <summary>Seasons without a fault.</summary>
    public int Passed { get; private set; }

    /// <summary>Seasons with one.</summary>
    public int Failed { get; private set; }

    /// <summary>Kills.</summary>
    public int Kills { get; private set; }

    /// <summary>Mornings that had to have a letter.</summary>
    public int Mornings { get; private set; }

    /// <summary>Copies beyond the first, all within the allowed moment.</summary>
    public int Doubles { get; private set; }

    /// <summary>The first faults.</summary>
    public IReadOnlyList<string> Faults => faults;

    /// <summary>Points no life came to.</summary>
    public IReadOnlyList<string> Missed => notReached;

    private int Away { get; set; }

    private int Urgent { get; set; }

    private int Letters { get; set; }

    private int Reasons { get; set; }

    /// <inheritdoc/>
    public override string ToString() => string.Create(
        CultureInfo.InvariantCulture,
        $"{Passed} passed, {Failed} failed; {Kills} kills, {Mornings} mornings and {Urgent} urgent notes due, {Letters} letters arrived, {Doubles} of them second copies, {Reasons} not accepted for a told reason, {Away} mornings passed while the machine was away; \"250\" to receipt p50 {Window(0.5):0.00} ms, p99 {Window(0.99):0.00} ms of {windowsMs.Count}{string.Concat(faults.Select(fault => "\n  " + fault))}");

    internal void Add(Judgement judgement, int kills, string where)
    {
        Passed += judgement.Faults.Count == 0 ? 1 : 0;
        Failed += judgement.Faults.Count == 0 ? 0 : 1;
        Kills += kills;
        Mornings += judgement.Mornings;
        Doubles += judgement.Doubles;
        Away += judgement.Away;
        Urgent += judgement.Urgent;
        Letters += judgement.Letters;
        Reasons += judgement.Reasons;
        windowsMs.AddRange(judgement.WindowsMs);
        faults.AddRange(judgement.Faults.Select(fault => $"{where}: {fault}").Take(Math.Max(0, MostFaults - faults.Count)));
    }

    internal void NotReached(string point, int time) => notReached.Add(string.Create(CultureInfo.InvariantCulture, $"{point}, time {time}"));

    private double Window(double share) => windowsMs.Count == 0 ? double.NaN : windowsMs.Order().ElementAt((int)(share * (windowsMs.Count - 1)));
}
