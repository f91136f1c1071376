namespace GraftWatch.Checks;

/// <summary>One thing that was checked.</summary>
/// <param name="Subject">What, one word; <c>--only</c> takes it.</param>
/// <param name="Verdict">How it stands.</param>
/// <param name="What">What was found: a sentence.</param>
/// <param name="Mend">How to mend it; empty when nothing is to be done.</param>
internal sealed record CheckLine(string Subject, CheckVerdict Verdict, string What, string Mend = "")
{
    /// <inheritdoc/>
    public override string ToString() => $"{Subject,-9} {Word(Verdict),-6} {What}{(Mend.Length > 0 ? " " + Mend : string.Empty)}";

    /// <summary>The word for a verdict.</summary>
    internal static string Word(CheckVerdict verdict) => verdict switch
    {
        CheckVerdict.Fine => "fine",
        CheckVerdict.Look => "look",
        CheckVerdict.Failed => "failed",
        CheckVerdict.Wrong => "wrong",
        _ => throw new System.Diagnostics.UnreachableException(),
    };
}

/// <summary>How a checked thing stands.</summary>
internal enum CheckVerdict
{
    /// <summary>As it should be.</summary>
    Fine = 0,

    /// <summary>Works, and is probably not meant so.</summary>
    Look,

    /// <summary>Does not work now; nothing in the files is wrong.</summary>
    Failed,

    /// <summary>A file is wrong.</summary>
    Wrong,
}
