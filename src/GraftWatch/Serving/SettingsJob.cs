using NodaTime;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Takes over edited settings, or refuses them whole and says why.</summary>
[DisallowConcurrentExecution]
internal sealed class SettingsJob(SettingsInForce settings, EditPatience patience, ServeState state, TimeProvider clock, IHostApplicationLifetime life, ILogger<SettingsJob> logger) : IJob
{
    private static readonly TimeSpan Pause = TimeSpan.FromSeconds(2.5);

    public async ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default)
    {
        try
        {
            string? needed = settings.NeedsRestart;
            using var ends = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken, life.ApplicationStopping);
            switch (await LookAsync(ends.Token).ConfigureAwait(false))
            {
                case SettingsLook.TakenOver when settings.Changes.Count > 0 || settings.NeedsRestart is null:
                    Log.SettingsTakenOver(logger, settings.Changes.Count == 0 ? "nothing changed but words" : string.Join("; ", settings.Changes));
                    break;
                case SettingsLook.Refused:
                    Log.SettingsRefused(logger, string.Join(Environment.NewLine, settings.Refused));
                    break;
                default:
                    break;
            }

            if (settings.NeedsRestart is { } sentence && sentence != needed)
            {
                Log.RestartNeeded(logger, sentence);
            }

            state.Settings(settings.Refused, settings.NeedsRestart);
        }
        catch (OperationCanceledException) when (life.ApplicationStopping.IsCancellationRequested)
        {
            // A stop waits for jobs; an edit under way is read by the next start.
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
        for (int looks = 1; look == SettingsLook.Waiting && looks < patience.MostLooks; looks++)
        {
            await Task.Delay(Pause, clock, cancellationToken).ConfigureAwait(false);
            look = settings.Look(Now());
        }

        return look;
    }

    private Instant Now() => Instant.FromDateTimeOffset(clock.GetUtcNow());
}

/// <summary>How often a look at the settings is repeated at once while an edit is under way.</summary>
/// <param name="MostLooks">Looks; 1 where a clock is moved by hand and would stand still between them.</param>
internal sealed record EditPatience(int MostLooks = 10);
