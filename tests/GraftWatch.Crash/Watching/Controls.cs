using GraftWatch.Crash.Lives;

namespace GraftWatch.Crash.Watching;

/// <summary>Runs programs that are wrong on purpose: a harness that passes them proves nothing.</summary>
public static class Controls
{
    private static readonly string[] Points =
    [
        "after the letter is sealed", "mail: Data", "mail: Text", "mail: Dot", "mail: Answered", "after a letter is handed over",
        "before the letter is sealed", "mail: Recipient", "mail: Dot", "before a pass",
    ];

    /// <summary>The word that the fault found must begin with.</summary>
    public static string WordOf(Spoil spoil) => spoil switch
    {
        Spoil.ReceiptNever => "twice: ",
        Spoil.ReceiptFirst or Spoil.SealForgotten => "missing: ",
        Spoil.StartSkipped => "silent: ",
        Spoil.OtherBytes => "other bytes: ",
        Spoil.EarlyClock => "early: ",
        _ => string.Empty,
    };

    /// <summary>Whether a run found what was built in; an unspoilt program must have no fault at all.</summary>
    public static bool IsFound(Spoil spoil, Tally tally) => spoil == Spoil.None
        ? tally.Failed == 0
        : tally.Faults.Any(fault => fault.Contains(": " + WordOf(spoil), StringComparison.Ordinal));

    /// <summary>A short chain of kills with one fault built in.</summary>
    public static Task<Tally> RunAsync(Spoil spoil) => PointRun.InOneChainAsync(Points, spoil);
}
