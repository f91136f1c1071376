namespace GraftWatch.Serving;

/// <summary>Decides when memory is given back: work has left something behind, and hardly anything went on since the last look.</summary>
internal sealed class RestDue
{
    /// <summary>So much allocated since the last rest is worth a collection. [bytes]</summary>
    internal const long Worth = 2 << 20;

    /// <summary>Less than this from one look to the next is quiet. [bytes]</summary>
    internal const long Quiet = 1 << 20;

    private long rested;
    private long seen;

    /// <summary>Whether next to nothing went on before the last look.</summary>
    internal bool IsQuiet { get; private set; }

    /// <summary>Looks whether it is time; who asks gives memory back at once when it is.</summary>
    /// <param name="allocated">Bytes allocated since the program began.</param>
    internal bool Ask(long allocated)
    {
        IsQuiet = allocated - seen < Quiet;
        bool isDue = IsQuiet && allocated - rested >= Worth;
        seen = allocated;
        rested = isDue ? allocated : rested;
        return isDue;
    }
}
