namespace GraftWatch.Records.Engine;

/// <summary>Growers by name.</summary>
internal static class GrowerRows
{
    /// <summary>The number of a grower's row, made when it is new, and kept from other writers until the transaction ends.</summary>
    public static async Task<long> TakeAsync(SqlSession session, string name)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(name);
        await session.ExecuteAsync("INSERT INTO grower (name) VALUES (@name) ON CONFLICT (name) DO NOTHING", ("@name", name)).ConfigureAwait(false);
        return (await session.NumberAsync("SELECT id FROM grower WHERE name = @name" + session.ForUpdate, ("@name", name)).ConfigureAwait(false))!.Value;
    }

    /// <summary>The number of a grower's row, kept from other writers; null when there is no such grower.</summary>
    public static Task<long?> FindAsync(SqlSession session, string name) =>
        session.NumberAsync("SELECT id FROM grower WHERE name = @name" + session.ForUpdate, ("@name", name));
}
