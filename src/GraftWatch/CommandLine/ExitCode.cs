namespace GraftWatch.CommandLine;

/// <summary>How the program ends.</summary>
internal static class ExitCode
{
    /// <summary>All went well.</summary>
    internal const int Fine = 0;

    /// <summary>Something failed that better input would not have changed.</summary>
    internal const int Failed = 1;

    /// <summary>The input is wrong; every fault was listed.</summary>
    internal const int BadInput = 2;

    /// <summary>Another program is at it; what comes of it is not known yet.</summary>
    internal const int InOtherHands = 3;
}
