using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

internal static partial class Log
{
    [LoggerMessage(1001, LogLevel.Information, "Letter {Number} for {Grower} on {Date:R} sealed for {Channels}: {Subject}", EventName = "LetterSealed")]
    internal static partial void LetterSealed(ILogger logger, string grower, LocalDate date, int number, string channels, string subject);

    [LoggerMessage(1002, LogLevel.Warning, "No fresh weather for {Place}: {Trouble}", EventName = "WeatherFailed")]
    internal static partial void WeatherFailed(ILogger logger, string place, string trouble);

    [LoggerMessage(1003, LogLevel.Information, "The letter for {Grower} of {Date:R} was taken by {Channel} at try {Tries}.", EventName = "LetterAccepted")]
    internal static partial void LetterAccepted(ILogger logger, string grower, LocalDate date, string channel, int tries);

    [LoggerMessage(1004, LogLevel.Warning, "The letter for {Grower} of {Date:R} was not taken by {Channel} at try {Tries} ({Outcome}, {Reason}): {Detail}", EventName = "LetterNotTaken")]
    internal static partial void LetterNotTaken(ILogger logger, string grower, LocalDate date, string channel, int tries, DeliveryOutcome outcome, DeliveryReason reason, string detail);

    [LoggerMessage(1005, LogLevel.Error, "The letter for {Grower} of {Date:R} by {Channel} is given up. {Detail}", EventName = "LetterGivenUp")]
    internal static partial void LetterGivenUp(ILogger logger, string grower, LocalDate date, string channel, string detail);

    [LoggerMessage(1006, LogLevel.Warning, "The letter for {Grower} of {Date:R} was being handed to {Channel} when the program ended; it is tried again with the same Message-ID.", EventName = "LetterInDoubt")]
    internal static partial void LetterInDoubt(ILogger logger, string grower, LocalDate date, string channel);

    [LoggerMessage(1007, LogLevel.Error, "The channel {Channel} failed in a way it never should.", EventName = "ChannelThrew")]
    internal static partial void ChannelThrew(ILogger logger, Exception exception, string channel);

    [LoggerMessage(1008, LogLevel.Error, "The outcome of the letter for {Grower} of {Date:R} could not be kept; it is kept at the next pass.", EventName = "ReceiptNotKept")]
    internal static partial void ReceiptNotKept(ILogger logger, Exception exception, string grower, LocalDate date);

    [LoggerMessage(1009, LogLevel.Information, "Urgent note {Number} for {Grower} on {Date:R} sealed for {Channels}: {Subject}", EventName = "NoteSealed")]
    internal static partial void NoteSealed(ILogger logger, string grower, LocalDate date, int number, string channels, string subject);

    [LoggerMessage(1010, LogLevel.Warning, "The lease of a letter for {Grower} could not be renewed while it was on the line.", EventName = "LeaseNotRenewed")]
    internal static partial void LeaseNotRenewed(ILogger logger, Exception exception, string grower);
}
