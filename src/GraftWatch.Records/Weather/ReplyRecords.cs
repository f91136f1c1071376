using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Records.Weather;

/// <summary>Replies of services that want to be asked conditionally.</summary>
internal sealed class ReplyRecords(SqlEngine engine) : IReplyStore
{
    public Task<KeptReply?> FindAsync(string key, CancellationToken cancellationToken) => engine.ReadAsync(
        session => session.FirstAsync(
            reader => new KeptReply(reader.GetString(0), reader.Bytes(1), reader.IsDBNull(2) ? null : reader.GetString(2), reader.IsDBNull(3) ? null : reader.GetString(3), reader.InstantOrNull(4), reader.Instant(5)),
            session.Command("SELECT name, body, etag, last_modified, expires_at, fetched_at FROM kept_reply WHERE name = @name", ("@name", key))),
        cancellationToken);

    public Task SaveAsync(KeptReply reply, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(reply);
        return engine.WriteAsync(
            session => session.ExecuteAsync(
                """
                INSERT INTO kept_reply (name, body, etag, last_modified, expires_at, fetched_at) VALUES (@name, @body, @etag, @modified, @expires, @fetched)
                ON CONFLICT (name) DO UPDATE SET body = excluded.body, etag = excluded.etag, last_modified = excluded.last_modified,
                    expires_at = excluded.expires_at, fetched_at = excluded.fetched_at
                """,
                ("@name", reply.Key),
                ("@body", reply.Body.ToArray()),
                ("@etag", reply.ETag),
                ("@modified", reply.LastModified),
                ("@expires", Stored.Ticks(reply.Expires)),
                ("@fetched", Stored.Ticks(reply.FetchedAt))),
            cancellationToken);
    }
}
