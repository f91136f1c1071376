using Microsoft.Extensions.Logging;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>What is written about fetching weather; never an address with a key, for keys travel in headers.</summary>
internal static partial class Log
{
    [LoggerMessage(EventId = 2001, EventName = "Fetched", Level = LogLevel.Debug, Message = "Weather fetched from {Host} (not modified: {NotModified})")]
    public static partial void Fetched(ILogger logger, string host, bool notModified);

    [LoggerMessage(EventId = 2002, EventName = "FetchFailed", Level = LogLevel.Warning, Message = "No weather from {Host}: {Kind}, {Sentence}")]
    public static partial void FetchFailed(ILogger logger, string host, FetchFaultKind kind, string sentence);
}
