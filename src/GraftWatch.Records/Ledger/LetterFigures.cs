using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Ledger;

/// <summary>Counts of letters, for who watches over the installation.</summary>
public sealed class LetterFigures
{
    private readonly SqlEngine engine;

    internal LetterFigures(SqlEngine engine) => this.engine = engine;

    /// <summary>Letters that wait to be handed over, by kind and channel; those without any are left out.</summary>
    public async Task<IReadOnlyList<WaitingLetters>> LoadWaitingAsync(CancellationToken cancellationToken) =>
        await engine.ReadAsync(
            session => session.ListAsync(
                reader => new WaitingLetters(reader.Word<LetterKind>(0), reader.GetString(1), reader.Whole(2), reader.Instant(3)),
                "SELECT kind, channel, count(*), min(sealed_at) FROM letter WHERE state = 'waiting' GROUP BY kind, channel ORDER BY kind, channel"),
            cancellationToken).ConfigureAwait(false);

    /// <summary>Bytes of the letters sealed since an instant: what a day needs on the disk. [B]</summary>
    /// <param name="since">From then on.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    public async Task<long> LoadBytesSinceAsync(Instant since, CancellationToken cancellationToken) =>
        await engine.ReadAsync(
            session => session.NumberAsync($"SELECT CAST(coalesce(sum({LetterRows.Size}), 0) AS BIGINT) FROM letter l WHERE l.sealed_at >= @since", ("@since", Stored.Ticks(since))),
            cancellationToken).ConfigureAwait(false) ?? 0;

    /// <summary>The latest instant anything in the store was noted for: no clock that is right stands before it. Null in a new store.</summary>
    public Task<Instant?> LoadNewestAsync(CancellationToken cancellationToken) =>
        engine.ReadAsync(
            async session => await session.NumberAsync(
                "SELECT max(at) FROM (SELECT max(sealed_at) AS at FROM letter UNION ALL SELECT max(last_try_at) FROM letter UNION ALL SELECT max(ended_at) FROM job_run) AS noted").ConfigureAwait(false) is { } ticks
                ? Instant.FromUnixTimeTicks(ticks)
                : (Instant?)null,
            cancellationToken);

    /// <summary>The clock leases are measured by: of the server where there is one, else of this program.</summary>
    public Task<Instant> LoadClockAsync(CancellationToken cancellationToken) =>
        engine.ReadAsync(async session => Instant.FromUnixTimeTicks(await engine.LeaseClockAsync(session).ConfigureAwait(false)), cancellationToken);
}

/// <summary>Letters of a kind that wait.</summary>
/// <param name="Kind">The kind.</param>
/// <param name="Channel">Name of the channel.</param>
/// <param name="Letters">How many.</param>
/// <param name="OldestSealedAt">When the oldest of them was sealed.</param>
public sealed record WaitingLetters(LetterKind Kind, string Channel, int Letters, Instant OldestSealedAt);
