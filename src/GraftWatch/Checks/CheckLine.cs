namespace GraftWatch.Checks;

/// <summary>One thing that was checked.</summary>
/// <param name="Subject">What, one word.</param>
/// <param name="Verdict">How it stands.</param>
/// <param name="Words">What was found and, where it is not right, how to mend it.</param>
internal sealed record CheckLine(string Subject, CheckVerdict Verdict, string Words)
{
    /// <inheritdoc/>
    public override string ToString() => $"{Subject,-9} {Mark(Verdict),-6} {Words}";

    private static string Mark(CheckVerdict verdict) => verdict switch
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
