using NodaTime;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Takes over edited settings, or refuses them whole and says why.</summary>
[DisallowConcurrentExecution]
internal sealed class SettingsJob(SettingsInForce settings, ServeState state, TimeProvider clock, ILogger<SettingsJob> logger) : IJob
{
    private const int MostLooks = 10;
    private static readonly TimeSpan Pause = TimeSpan.FromSeconds(2.5);

    public async ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default)
    {
        try
        {
            switch (await LookAsync(cancellationToken).ConfigureAwait(false))
            {
                case SettingsLook.TakenOver:
                    Log.SettingsTakenOver(logger, settings.Changes.Count == 0 ? "nothing changed but words" : string.Join("; ", settings.Changes));
                    break;
                case SettingsLook.Refused:
                    Log.SettingsRefused(logger, string.Join(Environment.NewLine, settings.Refused));
                    break;
                default:
                    break;
            }

            state.Settings(settings.Refused);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            Log.SettingsUnreadable(logger, e.Message);
        }
    }

    // An edit under way is waited for, so that it is in force within the same half minute as any other.
    private async Task<SettingsLook> LookAsync(CancellationToken cancellationToken)
    {
        SettingsLook look = settings.Look(Now());
        for (int looks = 1; look == SettingsLook.Waiting && looks < MostLooks; looks++)
        {
            await Task.Delay(Pause, clock, cancellationToken).ConfigureAwait(false);
            look = settings.Look(Now());
        }

        return look;
    }

    private Instant Now() => Instant.FromDateTimeOffset(clock.GetUtcNow());
}
