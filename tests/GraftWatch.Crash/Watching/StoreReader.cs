using System.Data.Common;
using System.Globalization;
using System.Security.Cryptography;
using Microsoft.Data.Sqlite;
using Npgsql;

namespace GraftWatch.Crash.Watching;

/// <summary>Reads a store with plain SQL, sharing no code with the program that wrote it.</summary>
internal static class StoreReader
{
    private const string Columns = """
        SELECT g.name, l.local_date, l.kind, l.ordinal, l.number, l.message_id, l.state, l.tries, l.last_detail, {0}, l.sealed_at,
            (SELECT count(*) FROM letter_try t WHERE t.letter_id = l.id),
            (SELECT count(*) FROM letter_try t WHERE t.letter_id = l.id AND t.outcome = 'unknown'), l.subject, l.bytes_hash,
        """;

    private const string Tables = " FROM letter l JOIN grower g ON g.id = l.grower_id";

    /// <summary>Whether every page and row of a file is in order; else what is not. A server looks after its own pages.</summary>
    internal static string Integrity(string store)
    {
        using DbConnection? connection = Open(store);
        if (connection is not SqliteConnection)
        {
            return "ok";
        }

        using DbCommand command = connection.CreateCommand();
        command.CommandText = "PRAGMA integrity_check(1)";
        string answer = (string)command.ExecuteScalar()!;
        command.CommandText = "SELECT count(*) FROM pragma_foreign_key_check";
        return answer != "ok" ? answer : (long)command.ExecuteScalar()! > 0 ? "a row refers to nothing" : "ok";
    }

    /// <summary>All letters; none where the store has no tables yet.</summary>
    internal static List<StoredLetter> Read(string store)
    {
        using DbConnection? connection = Open(store);
        return connection is null ? [] : Read(connection);
    }

    /// <summary>Numbers of the notes that growers made.</summary>
    internal static HashSet<long> Notes(string store)
    {
        var notes = new HashSet<long>();
        using DbConnection? connection = Open(store);
        if (connection is null)
        {
            return notes;
        }

        using DbCommand command = connection.CreateCommand();
        command.CommandText = "SELECT id FROM observation";
        using DbDataReader reader = command.ExecuteReader();
        while (reader.Read())
        {
            notes.Add(reader.GetInt64(0));
        }

        return notes;
    }

    private static List<StoredLetter> Read(DbConnection connection)
    {
        using DbCommand command = connection.CreateCommand();
        // A program that was killed while it brought the store up to date leaves one that lets nothing go yet.
        command.CommandText = connection is SqliteConnection
            ? "SELECT count(*) FROM pragma_table_info('letter') WHERE name = 'bytes_let_go'"
            : "SELECT count(*) FROM information_schema.columns WHERE table_name = 'letter' AND column_name = 'bytes_let_go'";
        bool letsGo = (long)command.ExecuteScalar()! > 0;
        const string Bytes = "COALESCE((SELECT b.bytes FROM letter_bytes b WHERE b.letter_id = l.id), l.bytes)";
        command.CommandText = Columns.Replace("{0}", letsGo ? Bytes : "l.bytes", StringComparison.Ordinal) + (letsGo ? " l.bytes_let_go" : " NULL") + Tables;
        using DbDataReader reader = command.ExecuteReader();
        var letters = new List<StoredLetter>();
        while (reader.Read())
        {
            letters.Add(new StoredLetter(
                reader.GetString(0),
                DateOnly.ParseExact(reader.GetString(1), "yyyy-MM-dd", CultureInfo.InvariantCulture),
                reader.GetString(2) == "urgent",
                reader.GetInt32(3),
                reader.GetInt32(4),
                reader.GetString(5),
                reader.GetString(6),
                reader.GetInt32(7),
                reader.GetString(8),
                reader.IsDBNull(15) ? Convert.ToHexStringLower(SHA256.HashData(reader.GetFieldValue<byte[]>(9))) : Convert.ToHexStringLower(reader.GetFieldValue<byte[]>(14)),
                reader.GetInt64(10),
                (int)reader.GetInt64(11),
                (int)reader.GetInt64(12),
                reader.GetString(13))
            {
                BytesLetGo = reader.IsDBNull(15) ? null : reader.GetInt64(15),
                BytesLeft = reader.GetFieldValue<byte[]>(9).Length,
            });
        }

        return letters;
    }

    // A path is a file, anything with an equals sign a server. Null where there are no tables yet.
    private static DbConnection? Open(string store)
    {
        bool isServer = IsServer(store);
        if (!isServer && !File.Exists(store))
        {
            return null;
        }

        DbConnection connection = isServer ? new NpgsqlConnection(store) : new SqliteConnection($"Data Source={store};Pooling=False;Default Timeout=10");
        connection.Open();
        using DbCommand command = connection.CreateCommand();
        command.CommandText = isServer ? "SELECT count(*) FROM information_schema.tables WHERE table_name = 'letter'" : "SELECT count(*) FROM sqlite_schema WHERE name = 'letter'";
        if ((long)command.ExecuteScalar()! > 0)
        {
            return connection;
        }

        connection.Dispose();
        return null;
    }

    /// <summary>Whether a store is on a server.</summary>
    internal static bool IsServer(string store) => store.Contains('=', StringComparison.Ordinal);
}

/// <summary>A letter as the store has it.</summary>
internal sealed record StoredLetter(
    string Name, DateOnly Date, bool Urgent, int Ordinal, int Number, string MessageId, string State, int Tries, string LastDetail, string Hash, long SealedAt, int TryRows, int Doubts, string Subject)
{
    /// <summary>How many bytes were let go; null while they are there. The hash is the store's own word then, which must be that of what arrived.</summary>
    internal long? BytesLetGo { get; init; }

    internal int BytesLeft { get; init; }
}
