using System.Globalization;
using System.Security.Cryptography;
using Microsoft.Data.Sqlite;

namespace GraftWatch.Crash.Stores;

/// <summary>Reads a store with plain SQL, sharing no code with the program that wrote it.</summary>
internal static class StoreOracle
{
    /// <summary>What is wrong, one sentence each; empty when every promise is kept.</summary>
    public static List<string> Check(string path, Acknowledged promised)
    {
        var faults = new List<string>();
        using var connection = new SqliteConnection($"Data Source={path};Pooling=False;Default Timeout=10");
        connection.Open();
        if (Text(connection, "PRAGMA integrity_check(1)") is var answer && answer != "ok")
        {
            faults.Add($"damaged: {answer}");
            return faults;
        }

        if (Text(connection, "SELECT count(*) FROM sqlite_schema WHERE name = 'letter'") == "0")
        {
            if (promised.Count > 0)
            {
                faults.Add("the store is empty");
            }

            return faults;
        }

        Dictionary<(string Grower, int Number), (string Hash, string State)> found = Letters(connection, faults);
        foreach (((string grower, int number), string hash) in promised.Sealed)
        {
            if (!found.TryGetValue((grower, number), out (string Hash, string State) letter))
            {
                faults.Add($"letter {number} of {grower} is missing");
            }
            else if (letter.Hash != hash)
            {
                faults.Add($"letter {number} of {grower} has other bytes");
            }
        }

        foreach ((string grower, int number) in promised.Accepted)
        {
            if (!found.TryGetValue((grower, number), out (string Hash, string State) letter) || letter.State != "accepted")
            {
                faults.Add($"the receipt of letter {number} of {grower} is missing");
            }
        }

        foreach (IGrouping<string, int> grower in found.Keys.GroupBy(key => key.Grower, key => key.Number))
        {
            int[] numbers = [.. grower.Order()];
            if (!numbers.SequenceEqual(Enumerable.Range(1, numbers.Length)))
            {
                faults.Add($"the numbers of {grower.Key} have a gap or a repeat");
            }
        }

        return faults;
    }

    private static Dictionary<(string Grower, int Number), (string Hash, string State)> Letters(SqliteConnection connection, List<string> faults)
    {
        var found = new Dictionary<(string Grower, int Number), (string Hash, string State)>();
        using SqliteCommand command = connection.CreateCommand();
        bool apart = Text(connection, "SELECT count(*) FROM sqlite_schema WHERE name = 'letter_bytes'") != "0";
        string bytes = apart ? "COALESCE((SELECT b.bytes FROM letter_bytes b WHERE b.letter_id = l.id), l.bytes)" : "l.bytes";
        command.CommandText = $"SELECT g.name, l.number, {bytes}, l.state, l.tries, (SELECT count(*) FROM letter_try t WHERE t.letter_id = l.id) FROM letter l JOIN grower g ON g.id = l.grower_id";
        using SqliteDataReader reader = command.ExecuteReader();
        while (reader.Read())
        {
            (string Grower, int Number) key = (reader.GetString(0), reader.GetInt32(1));
            if (!found.TryAdd(key, (Convert.ToHexStringLower(SHA256.HashData(reader.GetFieldValue<byte[]>(2))), reader.GetString(3))))
            {
                faults.Add($"letter {key.Number} of {key.Grower} is there twice");
            }

            if (reader.GetInt32(4) != reader.GetInt32(5))
            {
                faults.Add($"letter {key.Number} of {key.Grower} counts {reader.GetInt32(4)} tries and lists {reader.GetInt32(5)}");
            }
        }

        return found;
    }

    private static string Text(SqliteConnection connection, string sql)
    {
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        return Convert.ToString(command.ExecuteScalar(), CultureInfo.InvariantCulture)!;
    }
}
