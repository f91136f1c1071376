using NodaTime;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Looks after the installation itself, and tells its operator what is amiss.</summary>
[DisallowConcurrentExecution]
internal sealed class OperatorJob(
    OperatorPost post, ChannelTargets targets, SettingsInForce settings, ServeState state, TimeProvider clock, ILogger<OperatorJob> logger) : IJob
{
    // What a morning of a large installation and its journal may need, and some.
    private const long LeastFreeBytes = 256L * 1024 * 1024;

    public async ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default)
    {
        try
        {
            state.Installation("disk", Disk(settings.Current.Installation.DataFolder));
            state.Installation("secrets", targets.Troubles is { Count: > 0 } missing ? string.Join(' ', missing) : null);
            if (settings.Current.Installation.OperatorAddress is { } address)
            {
                await post.TellAsync(address, Instant.FromDateTimeOffset(clock.GetUtcNow()), cancellationToken).ConfigureAwait(false);
            }
        }
        catch (Exception e) when (e is not OperationCanceledException || !cancellationToken.IsCancellationRequested)
        {
            Log.OperatorNotTold(logger, e);
        }
    }

    private static string? Disk(string folder)
    {
        try
        {
            var drive = new DriveInfo(Path.GetFullPath(folder));
            return drive.AvailableFreeSpace < LeastFreeBytes
                ? $"the disk of {folder} is nearly full: less than {LeastFreeBytes / (1024 * 1024)} MiB are free"
                : null;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException)
        {
            return $"the disk of {folder} cannot be looked at: {e.Message}";
        }
    }
}
