using Quartz;

namespace GraftWatch.Serving;

/// <summary>Takes over edited settings, or refuses them whole and says why.</summary>
[DisallowConcurrentExecution]
internal sealed class SettingsJob(SettingsInForce settings, ServeState state, ILogger<SettingsJob> logger) : IJob
{
    public ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default)
    {
        try
        {
            switch (settings.Look())
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

        return ValueTask.CompletedTask;
    }
}
