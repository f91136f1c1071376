using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Serving;

/// <summary>Says at the start what the daemon will do and when the next letters go.</summary>
/// <param name="listen">Where the pages listen; null for nowhere.</param>
/// <param name="settings">The settings.</param>
/// <param name="mail">How mail leaves.</param>
/// <param name="clock">The clock.</param>
/// <param name="logger">Where it is said.</param>
internal sealed class Greeting(string? listen, SettingsInForce settings, MailWay mail, TimeProvider clock, ILogger<Greeting> logger) : IHostedService
{
    private static readonly ZonedDateTimePattern Hour = ZonedDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd HH:mm z", null);

    public Task StartAsync(CancellationToken cancellationToken)
    {
        ServeSettings current = settings.Current;
        Log.Started(logger, current.Morning.Growers.Count, current.Morning.Places.Count, mail.Words, current.Installation.Weather.Address.Host);
        if (mail.Folder is { } folder)
        {
            Log.NoMailServer(logger, folder);
        }

        if (listen is not null && Listening.LacksPublicAddress(listen, current.Installation.Page))
        {
            Log.NoPublicAddress(logger, listen, Listening.OnThisMachine(listen));
        }

        Instant now = Instant.FromDateTimeOffset(clock.GetUtcNow());
        foreach (Grower grower in current.Morning.Growers)
        {
            DueLetter next = LetterSchedule.NextDue(grower, now);
            Log.NextLetter(logger, grower.Name, Hour.Format(next.At.InZone(grower.Zone)));
        }

        return Task.CompletedTask;
    }

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;
}
