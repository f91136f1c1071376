using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.People;

/// <summary>Calendar addresses of growers.</summary>
internal sealed class FeedRecords(SqlEngine engine) : IFeeds
{
    public Task<int?> FindAsync(string grower, CancellationToken cancellationToken) => engine.ReadAsync(
        async session => (int?)await session.NumberAsync(
            "SELECT f.number FROM feed f JOIN grower g ON g.id = f.grower_id WHERE g.name = @name AND f.closed_at IS NULL",
            ("@name", grower)).ConfigureAwait(false),
        cancellationToken);

    public Task<int> RenewAsync(string grower, Instant now, CancellationToken cancellationToken) => engine.WriteAsync(
        async session =>
        {
            long id = await GrowerRows.TakeAsync(session, grower).ConfigureAwait(false);
            return (int)(await session.NumberAsync(
                """
                INSERT INTO feed (grower_id, number, renewed_at) VALUES (@id, 1, @now)
                ON CONFLICT (grower_id) DO UPDATE SET number = feed.number + 1, renewed_at = excluded.renewed_at, closed_at = NULL
                RETURNING number
                """,
                ("@id", id),
                ("@now", Stored.Ticks(now))).ConfigureAwait(false))!.Value;
        },
        cancellationToken);

    public Task CloseAsync(string grower, Instant now, CancellationToken cancellationToken) => engine.WriteAsync(
        session => session.ExecuteAsync(
            "UPDATE feed SET closed_at = @now WHERE closed_at IS NULL AND grower_id = (SELECT id FROM grower WHERE name = @name)",
            ("@now", Stored.Ticks(now)),
            ("@name", grower)),
        cancellationToken);
}
