namespace GraftWatch.Pages;

/// <summary>What the pages log; ids from 5500. Tokens, addresses of people and what they typed never stand here; the code of the machine does, for who reads it there.</summary>
internal static partial class Log
{
    [LoggerMessage(5500, LogLevel.Error, "A page broke ({Report}): {Method} {Path}", EventName = "PageBroke")]
    internal static partial void PageBroke(ILogger logger, Exception exception, string report, string method, string path);

    [LoggerMessage(5501, LogLevel.Warning, "A mail of the pages was not taken ({Reason}): {Detail}", EventName = "PageMailNotTaken")]
    internal static partial void PageMailNotTaken(ILogger logger, string reason, string detail);

    [LoggerMessage(5502, LogLevel.Error, "Mails of the pages could not be looked after", EventName = "PageMailsFailed")]
    internal static partial void PageMailsFailed(ILogger logger, Exception exception);

    [LoggerMessage(5503, LogLevel.Warning, "Too many wishes to sign in at once; {Dropped} were dropped", EventName = "WishesDropped")]
    internal static partial void WishesDropped(ILogger logger, long dropped);

    [LoggerMessage(5504, LogLevel.Warning, "The search of places by name failed at {Host}: {Reason}", EventName = "PlaceSearchFailed")]
    internal static partial void PlaceSearchFailed(ILogger logger, string host, string reason);

    [LoggerMessage(5505, LogLevel.Information, "The settings name no operator. Who runs this machine opens {Path} of the pages on it and types {Code}; it works once", EventName = "MachineCode")]
    internal static partial void MachineCode(ILogger logger, string path, string code);
}
