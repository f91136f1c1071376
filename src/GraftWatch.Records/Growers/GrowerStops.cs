using GraftWatch.Records.Engine;
using GraftWatch.Records.Ledger;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Growers;

/// <summary>Growers whose letters are stopped.</summary>
internal sealed class GrowerStops(SqlEngine engine) : IGrowerStops
{
    /// <summary>The outcome of a letter that waited when the letters were stopped.</summary>
    public static readonly DeliveryResult NotSent = new(DeliveryOutcome.GiveUp, DeliveryReason.Stopped, GrowerStop.NotSent);

    private const string Select = "SELECT g.name, s.stopped_at, s.stopped_by FROM grower_stop s JOIN grower g ON g.id = s.grower_id";

    public Task<IReadOnlyList<GrowerStop>> LoadStopsAsync(CancellationToken cancellationToken) =>
        engine.ReadAsync<IReadOnlyList<GrowerStop>>(async session => await session.ListAsync(Map, Select + " ORDER BY g.name").ConfigureAwait(false), cancellationToken);

    public Task<GrowerStop?> FindStopAsync(string grower, CancellationToken cancellationToken) => engine.ReadAsync(session => FindAsync(session, grower), cancellationToken);

    public Task<GrowerStop> StopAsync(string grower, StoppedBy by, Instant at, CancellationToken cancellationToken) => engine.WriteAsync(
        async session =>
        {
            long id = await GrowerRows.TakeAsync(session, grower).ConfigureAwait(false);
            await session.ExecuteAsync(
                "INSERT INTO grower_stop (grower_id, stopped_at, stopped_by) VALUES (@id, @at, @by) ON CONFLICT (grower_id) DO NOTHING",
                ("@id", id),
                ("@at", Stored.Ticks(at)),
                ("@by", Stored.Word(by))).ConfigureAwait(false);

            // A letter on the line may arrive already; what becomes of it is noted as ever.
            List<(long Letter, int Tries)> waiting = await session.ListAsync(
                reader => (reader.GetInt64(0), reader.Whole(1)),
                "SELECT id, tries FROM letter WHERE grower_id = @id AND state = 'waiting' AND started_at IS NULL" + session.ForUpdate,
                ("@id", id)).ConfigureAwait(false);
            foreach ((long letter, int tries) in waiting)
            {
                await LetterLedger.RecordTryAsync(session, letter, LetterState.Waiting, tries, NotSent, at).ConfigureAwait(false);
            }

            return (await FindAsync(session, grower).ConfigureAwait(false))!;
        },
        cancellationToken);

    public Task<bool> ResumeAsync(string grower, CancellationToken cancellationToken) => engine.WriteAsync(
        async session => await session.ExecuteAsync("DELETE FROM grower_stop WHERE grower_id = (SELECT id FROM grower WHERE name = @name)", ("@name", grower)).ConfigureAwait(false) == 1,
        cancellationToken);

    private static Task<GrowerStop?> FindAsync(SqlSession session, string grower) => session.FirstAsync(Map, session.Command(Select + " WHERE g.name = @name", ("@name", grower)));

    private static GrowerStop Map(System.Data.Common.DbDataReader reader) => new(reader.GetString(0), reader.Instant(1), reader.Word<StoppedBy>(2));
}
