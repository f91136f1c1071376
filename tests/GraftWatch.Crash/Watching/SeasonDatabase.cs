using System.Globalization;
using Npgsql;

namespace GraftWatch.Crash.Watching;

/// <summary>A database of a season's own on a PostgreSQL server.</summary>
internal static class SeasonDatabase
{
    private static int made;

    /// <summary>Makes one; gives its connection string.</summary>
    internal static string Create(string server)
    {
        string name = string.Create(CultureInfo.InvariantCulture, $"season_{Environment.ProcessId}_{Interlocked.Increment(ref made)}");
        Run(server, $"CREATE DATABASE {name}");
        return new NpgsqlConnectionStringBuilder(server) { Database = name, Pooling = false }.ConnectionString;
    }

    /// <summary>Drops it.</summary>
    internal static void Drop(string server, string store) => Run(server, $"DROP DATABASE {new NpgsqlConnectionStringBuilder(store).Database} WITH (FORCE)");

    private static void Run(string server, string sql)
    {
        using var connection = new NpgsqlConnection(server);
        connection.Open();
        using var command = new NpgsqlCommand(sql, connection);
        command.ExecuteNonQuery();
    }
}
