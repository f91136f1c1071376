using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

internal static partial class Log
{
    [LoggerMessage(1001, LogLevel.Information, "Letter {Number} for {Grower} on {Date:R} sealed: {Subject}", EventName = "LetterSealed")]
    internal static partial void LetterSealed(ILogger logger, string grower, LocalDate date, int number, string subject);

    [LoggerMessage(1002, LogLevel.Warning, "No fresh weather for {Place}: {Trouble}", EventName = "WeatherFailed")]
    internal static partial void WeatherFailed(ILogger logger, string place, string trouble);

    [LoggerMessage(1003, LogLevel.Information, "The mail server took the letter for {Grower} of {Date:R} at try {Tries}.", EventName = "LetterAccepted")]
    internal static partial void LetterAccepted(ILogger logger, string grower, LocalDate date, int tries);

    [LoggerMessage(1004, LogLevel.Warning, "The letter for {Grower} of {Date:R} was not taken at try {Tries} ({Outcome}, {Reason}): {Detail}", EventName = "LetterNotTaken")]
    internal static partial void LetterNotTaken(ILogger logger, string grower, LocalDate date, int tries, DeliveryOutcome outcome, DeliveryReason reason, string detail);

    [LoggerMessage(1005, LogLevel.Error, "The letter for {Grower} of {Date:R} is given up. {Detail}", EventName = "LetterGivenUp")]
    internal static partial void LetterGivenUp(ILogger logger, string grower, LocalDate date, string detail);
}
