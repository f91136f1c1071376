using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Engine;

/// <summary>Takes rows back within the window; they stay and say so.</summary>
internal static class Undo
{
    /// <param name="session">The transaction.</param>
    /// <param name="table">A table with id, grower_id and undone_at.</param>
    /// <param name="notedColumn">Its column with the instant the window counts from.</param>
    /// <param name="grower">Whose row it must be.</param>
    /// <param name="id">Which row.</param>
    /// <param name="at">Now.</param>
    public static async Task<UndoOutcome> TakeBackAsync(SqlSession session, string table, string notedColumn, string grower, long id, Instant at)
    {
        Row? row = await session.FirstAsync(
            reader => new Row(reader.Instant(0), reader.InstantOrNull(1)),
            session.Command($"SELECT {notedColumn}, undone_at FROM {table} WHERE id = @id AND grower_id = (SELECT id FROM grower WHERE name = @name)" + session.ForUpdate, ("@id", id), ("@name", grower))).ConfigureAwait(false);
        if (row is null)
        {
            return UndoOutcome.NotFound;
        }

        if (row.UndoneAt is not null)
        {
            return UndoOutcome.AlreadyUndone;
        }

        if (at - row.NotedAt > Duration.FromDays(UndoWindow.Days))
        {
            return UndoOutcome.TooLate;
        }

        await session.ExecuteAsync($"UPDATE {table} SET undone_at = @at WHERE id = @id", ("@at", Stored.Ticks(at)), ("@id", id)).ConfigureAwait(false);
        return UndoOutcome.Undone;
    }

    private sealed record Row(Instant NotedAt, Instant? UndoneAt);
}
