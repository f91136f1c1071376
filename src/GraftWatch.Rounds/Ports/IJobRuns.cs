using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>When each job last ran, so that a machine that slept or restarted knows what it missed.</summary>
public interface IJobRuns
{
    /// <summary>The run of a job that was due last; null when it never ran.</summary>
    Task<JobRun?> LoadLastAsync(string job, CancellationToken cancellationToken);

    /// <summary>The run of a job that was due last among those that ended well; null when none did.</summary>
    Task<JobRun?> LoadLastGoodAsync(string job, CancellationToken cancellationToken);

    /// <summary>Notes a run at its start and again at its end; job and due instant are its key.</summary>
    Task RecordAsync(JobRun run, CancellationToken cancellationToken);
}

/// <summary>One run of a job.</summary>
/// <param name="Job">Name of the job.</param>
/// <param name="DueAt">The instant it was due.</param>
/// <param name="StartedAt">When it began.</param>
/// <param name="EndedAt">When it ended; null while it runs, or for ever when the process died.</param>
/// <param name="Good">Whether it ended well.</param>
/// <param name="Detail">What it did or why it failed, one sentence.</param>
public sealed record JobRun(string Job, Instant DueAt, Instant StartedAt, Instant? EndedAt, bool Good, string Detail);
