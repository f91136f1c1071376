using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Records.Weather;

/// <summary>How much each weather service was asked.</summary>
internal sealed class RequestTallyRecords(SqlEngine engine) : IRequestTallies
{
    public Task<RequestTally?> FindAsync(string host, CancellationToken cancellationToken) => engine.ReadAsync(
        session => session.FirstAsync(
            reader => new RequestTally(reader.GetString(0), reader.Instant(1), reader.GetDouble(2), reader.GetDouble(3), reader.GetDouble(4), reader.InstantOrNull(5), reader.GetString(6)),
            session.Command("SELECT host, counted_at, minute_used, hour_used, day_used, not_before, why FROM request_tally WHERE host = @host", ("@host", host))),
        cancellationToken);

    public Task SaveAsync(RequestTally tally, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(tally);
        return engine.WriteAsync(
            session => session.ExecuteAsync(
                """
                INSERT INTO request_tally (host, counted_at, minute_used, hour_used, day_used, not_before, why) VALUES (@host, @at, @minute, @hour, @day, @not_before, @why)
                ON CONFLICT (host) DO UPDATE SET counted_at = excluded.counted_at, minute_used = excluded.minute_used, hour_used = excluded.hour_used,
                    day_used = excluded.day_used, not_before = excluded.not_before, why = excluded.why
                """,
                ("@host", tally.Host),
                ("@at", Stored.Ticks(tally.CountedAt)),
                ("@minute", tally.MinuteUsed),
                ("@hour", tally.HourUsed),
                ("@day", tally.DayUsed),
                ("@not_before", Stored.Ticks(tally.NotBefore)),
                ("@why", tally.Why)),
            cancellationToken);
    }
}
