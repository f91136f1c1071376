namespace GraftWatch.Serving;

internal static partial class Log
{
    [LoggerMessage(5001, LogLevel.Information, "Serving. Growers: {Growers}. Places: {Places}. Letters: {Letters}. Weather: {Weather}.", EventName = "Started")]
    internal static partial void Started(ILogger logger, int growers, int places, string letters, string weather);

    [LoggerMessage(5002, LogLevel.Information, "The next letter is {Grower}'s, at {At}.", EventName = "NextLetter")]
    internal static partial void NextLetter(ILogger logger, string grower, string at);

    [LoggerMessage(5003, LogLevel.Warning, "The letter for {Grower} goes out after its hour.", EventName = "LateLetter")]
    internal static partial void LateLetter(ILogger logger, string grower);

    [LoggerMessage(5004, LogLevel.Error, "The letter for {Grower} went without {Place}, which could not be checked: {Trouble}", EventName = "NotChecked")]
    internal static partial void NotChecked(ILogger logger, string grower, string place, string trouble);

    [LoggerMessage(5005, LogLevel.Warning, "The letter for {Grower} waits for weather until {Until}: {Trouble}", EventName = "WaitsForWeather")]
    internal static partial void WaitsForWeather(ILogger logger, string grower, string until, string trouble);

    [LoggerMessage(5006, LogLevel.Error, "{Grower}: {Trouble}.", EventName = "MorningMissed")]
    internal static partial void MorningMissed(ILogger logger, string grower, string trouble);

    [LoggerMessage(5007, LogLevel.Error, "The morning of {Grower} failed; it is tried again in a minute.", EventName = "MorningFailed")]
    internal static partial void MorningFailed(ILogger logger, Exception exception, string grower);

    [LoggerMessage(5008, LogLevel.Error, "Handing letters over failed; it is tried again.", EventName = "DeliveryFailed")]
    internal static partial void DeliveryFailed(ILogger logger, Exception exception);

    [LoggerMessage(5009, LogLevel.Error, "Fetching weather failed; it is tried again.", EventName = "WeatherJobFailed")]
    internal static partial void WeatherJobFailed(ILogger logger, Exception exception);

    [LoggerMessage(5010, LogLevel.Information, "Edited settings are in force: {Changes}", EventName = "SettingsTakenOver")]
    internal static partial void SettingsTakenOver(ILogger logger, string changes);

    [LoggerMessage(5011, LogLevel.Error, "Edited settings are refused whole; the old ones stay in force.\n{Faults}", EventName = "SettingsRefused")]
    internal static partial void SettingsRefused(ILogger logger, string faults);

    [LoggerMessage(5012, LogLevel.Warning, "The settings cannot be looked at: {Trouble}", EventName = "SettingsUnreadable")]
    internal static partial void SettingsUnreadable(ILogger logger, string trouble);

    [LoggerMessage(5013, LogLevel.Critical, "No look through the mornings was completed for {Minutes} minutes; the process ends so that it can be started anew.", EventName = "Stuck")]
    internal static partial void Stuck(ILogger logger, int minutes);

    [LoggerMessage(5014, LogLevel.Warning, "No mail server is set; letters are written to {Folder}.", EventName = "NoMailServer")]
    internal static partial void NoMailServer(ILogger logger, string folder);

    [LoggerMessage(5015, LogLevel.Information, "The copy of the day is {Path}, {Rows} rows, proven.", EventName = "BackedUp")]
    internal static partial void BackedUp(ILogger logger, string path, long rows);

    [LoggerMessage(5016, LogLevel.Error, "The copy of the day could not be made; it is tried again in an hour.", EventName = "HouseFailed")]
    internal static partial void HouseFailed(ILogger logger, Exception exception);

    [LoggerMessage(5017, LogLevel.Warning, "Edited settings wait for a restart: {Sentence}.", EventName = "RestartNeeded")]
    internal static partial void RestartNeeded(ILogger logger, string sentence);

    [LoggerMessage(5018, LogLevel.Warning, "The pages listen at {Listen} for other machines too, and page.public_address is not set: letters carry no links, and the links of sign-in mails lead to {Here}, which works on this machine only. Set page.public_address to the address growers type.", EventName = "NoPublicAddress")]
    internal static partial void NoPublicAddress(ILogger logger, string listen, string here);

    [LoggerMessage(5020, LogLevel.Error, "Looking again between two letters failed for {Grower}; it is tried again in a quarter of an hour.", EventName = "UrgentFailed")]
    internal static partial void UrgentFailed(ILogger logger, Exception exception, string grower);

    [LoggerMessage(5021, LogLevel.Error, "Growers could not be read; it is tried again in a minute.", EventName = "GrowersUnread")]
    internal static partial void GrowersUnread(ILogger logger, Exception exception);

    [LoggerMessage(5024, LogLevel.Information, "An urgent note for {Grower} is held; it is decided anew at {Until}.", EventName = "NoteHeld")]
    internal static partial void NoteHeld(ILogger logger, string grower, string until);

    [LoggerMessage(5022, LogLevel.Warning, "The operator is told: {Subject}", EventName = "OperatorTold")]
    internal static partial void OperatorTold(ILogger logger, string subject);

    [LoggerMessage(5023, LogLevel.Error, "The operator could not be told; it is tried again in a minute.", EventName = "OperatorNotTold")]
    internal static partial void OperatorNotTold(ILogger logger, Exception exception);

    [LoggerMessage(5030, LogLevel.Warning, "The beat of {Job} is set anew: {Why}.", EventName = "BeatSetAnew")]
    internal static partial void BeatSetAnew(ILogger logger, string job, string why);

    [LoggerMessage(5031, LogLevel.Warning, "The beat of {Job} cannot be looked at: {Trouble}", EventName = "BeatNotKept")]
    internal static partial void BeatNotKept(ILogger logger, string job, string trouble);

    [LoggerMessage(5032, LogLevel.Warning, "The run of {Job} could not be noted: {Trouble}", EventName = "RunNotNoted")]
    internal static partial void RunNotNoted(ILogger logger, string job, string trouble);

    [LoggerMessage(5033, LogLevel.Warning, "The store does not answer: {Trouble}", EventName = "StoreAway")]
    internal static partial void StoreAway(ILogger logger, string trouble);

    [LoggerMessage(5040, LogLevel.Error, "{Sentence}", EventName = "CopyDamaged")]
    internal static partial void CopyDamaged(ILogger logger, string sentence);

    [LoggerMessage(5034, LogLevel.Error, "The clock is not to be trusted: {Doubt}; {Witness}. No letter is made or sent until it is set right.", EventName = "ClockDoubted")]
    internal static partial void ClockDoubted(ILogger logger, string doubt, string witness);

    [LoggerMessage(5035, LogLevel.Warning, "The clock was in doubt and is trusted again: it says {Now}, {Why}.", EventName = "ClockTrusted")]
    internal static partial void ClockTrusted(ILogger logger, string now, string why);
}
