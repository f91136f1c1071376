using System.Data.Common;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Ledger;
using GraftWatch.Records.Observations;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Grafts;

/// <summary>The register and what growers noted.</summary>
internal sealed class GraftRecords(SqlEngine engine) : IRegister, IRegisterKeeper
{
    private const string Notes = "SELECT o.id, o.label, o.at, o.kind, o.amount, o.words, o.noted_at, o.undone_at FROM observation o JOIN grower g ON g.id = o.grower_id WHERE g.name = @grower";

    public Task<IReadOnlyList<Graft>> LoadGraftsAsync(string grower, CancellationToken cancellationToken) =>
        engine.ReadAsync<IReadOnlyList<Graft>>(
            async session =>
            {
                List<Graft> grafts = await GraftRows.LoadAsync(session, grower).ConfigureAwait(false);
                grafts.Sort(WalkingOrder.Instance);
                return grafts;
            },
            cancellationToken);

    public Task<IReadOnlyList<Observation>> LoadObservationsAsync(string grower, CancellationToken cancellationToken) =>
        engine.ReadAsync<IReadOnlyList<Observation>>(
            async session => await session.ListAsync(reader => Note(reader).Observation, Notes + " AND o.undone_at IS NULL ORDER BY o.at, o.id", ("@grower", grower)).ConfigureAwait(false),
            cancellationToken);

    public Task<IReadOnlyList<SaidBefore>> LoadSaidAsync(string grower, CancellationToken cancellationToken) =>
        engine.ReadAsync(session => SaidRecords.LoadAsync(session, grower), cancellationToken);

    public Task<RegisterChange> ReplaceGraftsAsync(string grower, IReadOnlyList<Graft> grafts, CancellationToken cancellationToken) => ChangeAsync(grower, grafts, remove: true, cancellationToken);

    public Task<RegisterChange> ImportGraftsAsync(string grower, IReadOnlyList<Graft> grafts, CancellationToken cancellationToken) => ChangeAsync(grower, grafts, remove: false, cancellationToken);

    public Task<long?> ObserveAsync(string grower, Observation observation, string words, Instant notedAt, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(observation);
        return engine.WriteAsync(session => ObserveAsync(session, grower, observation, words, notedAt), cancellationToken);
    }

    public Task<int> ObserveManyAsync(string grower, IReadOnlyList<(Observation Observation, string Words)> seen, Instant notedAt, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(seen);
        return engine.WriteAsync(
            async session =>
            {
                int noted = 0;
                foreach ((Observation observation, string words) in seen)
                {
                    noted += await ObserveAsync(session, grower, observation, words, notedAt).ConfigureAwait(false) is null ? 0 : 1;
                }

                return noted;
            },
            cancellationToken);
    }

    public Task<int> UndoObservationsAsync(string grower, IReadOnlyList<long> notes, Instant at, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(notes);
        return engine.WriteAsync(
            async session =>
            {
                int undone = 0;
                foreach (long note in notes)
                {
                    undone += await Undo.TakeBackAsync(session, "observation", "noted_at", grower, note, at).ConfigureAwait(false) == UndoOutcome.Undone ? 1 : 0;
                }

                return undone;
            },
            cancellationToken);
    }

    public Task<UndoOutcome> UndoObservationAsync(string grower, long note, Instant at, CancellationToken cancellationToken) =>
        engine.WriteAsync(session => Undo.TakeBackAsync(session, "observation", "noted_at", grower, note, at), cancellationToken);

    public Task<IReadOnlyList<NotedObservation>> LoadNotesAsync(string grower, CancellationToken cancellationToken) =>
        engine.ReadAsync<IReadOnlyList<NotedObservation>>(
            async session => await session.ListAsync(Note, Notes + " ORDER BY o.at, o.id", ("@grower", grower)).ConfigureAwait(false),
            cancellationToken);

    /// <summary>Notes what was seen or done at a graft, inside a transaction; null when the grower has no graft with that label.</summary>
    public static async Task<long?> ObserveAsync(SqlSession session, string grower, Observation observation, string words, Instant notedAt)
    {
        long? known = await session.NumberAsync(
            "SELECT g.id FROM grower g JOIN graft t ON t.grower_id = g.id WHERE g.name = @grower AND t.label = @label",
            ("@grower", grower),
            ("@label", observation.Label)).ConfigureAwait(false);
        return known is null ? null : await session.NumberAsync(
            "INSERT INTO observation (grower_id, label, at, kind, amount, words, noted_at) VALUES (@grower, @label, @at, @kind, @amount, @words, @noted) RETURNING id",
            ("@grower", known),
            ("@label", observation.Label),
            ("@at", Stored.Ticks(observation.At)),
            ("@kind", Stored.Word(observation.Kind)),
            ("@amount", observation.Value),
            ("@words", words),
            ("@noted", Stored.Ticks(notedAt))).ConfigureAwait(false);
    }

    private static NotedObservation Note(DbDataReader reader)
    {
        ObservationKind kind = reader.Word<ObservationKind>(3);
        string words = reader.GetString(5);
        return new NotedObservation(
            reader.GetInt64(0),
            new Observation(reader.GetString(1), reader.Instant(2), kind, reader.NumberOrNull(4), ObservationWords.MaterialOf(kind, words)),
            words,
            reader.Instant(6),
            reader.InstantOrNull(7));
    }

    private Task<RegisterChange> ChangeAsync(string grower, IReadOnlyList<Graft> grafts, bool remove, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(grafts);
        if (grafts.GroupBy(graft => graft.Label, StringComparer.Ordinal).FirstOrDefault(group => group.Count() > 1) is { } twice)
        {
            throw new ArgumentException($"The label {twice.Key} stands for {twice.Count()} grafts.", nameof(grafts));
        }

        return engine.WriteAsync(session => ChangeAsync(session, grower, grafts, remove), cancellationToken);
    }

    private static async Task<RegisterChange> ChangeAsync(SqlSession session, string grower, IReadOnlyList<Graft> grafts, bool remove)
    {
        long id = await GrowerRows.TakeAsync(session, grower).ConfigureAwait(false);
        Dictionary<string, Graft> before = (await GraftRows.LoadAsync(session, grower).ConfigureAwait(false)).ToDictionary(graft => graft.Label, StringComparer.Ordinal);
        Graft[] added = grafts.Where(graft => !before.ContainsKey(graft.Label)).ToArray();
        Graft[] changed = grafts.Where(graft => before.TryGetValue(graft.Label, out Graft? old) && !GraftRows.Same(old, graft)).ToArray();
        var kept = grafts.Select(graft => graft.Label).ToHashSet(StringComparer.Ordinal);
        string[] removed = remove ? before.Keys.Where(label => !kept.Contains(label)).ToArray() : [];
        await session.ExecuteManyAsync("DELETE FROM graft WHERE grower_id = @grower AND label = @label", removed, label => [("@grower", id), ("@label", label)]).ConfigureAwait(false);
        await GraftRows.SaveAsync(session, id, [.. added, .. changed]).ConfigureAwait(false);
        return new RegisterChange(added.Length, changed.Length, removed.Length, grafts.Count - added.Length - changed.Length);
    }
}
