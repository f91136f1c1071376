using System.Data.Common;
using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Records.Jobs;

/// <summary>When each job last ran.</summary>
internal sealed class JobRecords(SqlEngine engine) : IJobRuns
{
    private const string Columns = "SELECT job, due_at, started_at, ended_at, good, detail FROM job_run WHERE job = @job";

    public Task<JobRun?> LoadLastAsync(string job, CancellationToken cancellationToken) => LoadAsync(Columns + " ORDER BY due_at DESC LIMIT 1", job, cancellationToken);

    public Task<JobRun?> LoadLastGoodAsync(string job, CancellationToken cancellationToken) => LoadAsync(Columns + " AND good = 1 ORDER BY due_at DESC LIMIT 1", job, cancellationToken);

    public Task RecordAsync(JobRun run, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(run);
        return engine.WriteAsync(
            session => session.ExecuteAsync(
                """
                INSERT INTO job_run (job, due_at, started_at, ended_at, good, detail) VALUES (@job, @due, @started, @ended, @good, @detail)
                ON CONFLICT (job, due_at) DO UPDATE SET started_at = excluded.started_at, ended_at = excluded.ended_at, good = excluded.good, detail = excluded.detail
                """,
                ("@job", run.Job),
                ("@due", Stored.Ticks(run.DueAt)),
                ("@started", Stored.Ticks(run.StartedAt)),
                ("@ended", Stored.Ticks(run.EndedAt)),
                ("@good", run.Good),
                ("@detail", run.Detail)),
            cancellationToken);
    }

    private Task<JobRun?> LoadAsync(string sql, string job, CancellationToken cancellationToken) =>
        engine.ReadAsync(session => session.FirstAsync(Map, session.Command(sql, ("@job", job))), cancellationToken);

    private static JobRun Map(DbDataReader reader) =>
        new(reader.GetString(0), reader.Instant(1), reader.Instant(2), reader.InstantOrNull(3), reader.Flag(4), reader.GetString(5));
}
