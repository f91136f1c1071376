using System.Security.Cryptography;
using GraftWatch.Records.Engine;
using Microsoft.Data.Sqlite;

namespace GraftWatch.Records;

/// <summary>Single values that belong to the installation.</summary>
public sealed class StoreNotes
{
    private readonly SqlEngine engine;

    internal StoreNotes(SqlEngine engine) => this.engine = engine;

    /// <summary>256 random bits made when first asked for: the key of Message-IDs and links of this installation.</summary>
    public async Task<byte[]> LoadSecretAsync(CancellationToken cancellationToken)
    {
        string fresh = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(32));
        string kept = await engine.WriteAsync(
            async session =>
            {
                await session.ExecuteAsync("INSERT INTO store_note (name, content) VALUES ('secret', @fresh) ON CONFLICT (name) DO NOTHING", ("@fresh", fresh)).ConfigureAwait(false);
                return (await ReadAsync(session, "secret").ConfigureAwait(false))!;
            },
            cancellationToken).ConfigureAwait(false);
        return Convert.FromHexString(kept);
    }

    /// <summary>Where the contents of a file store were moved to; empty when they were not.</summary>
    internal static string MovedTo(SqliteConnection connection)
    {
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = "SELECT content FROM store_note WHERE name = 'moved to'";
        return command.ExecuteScalar() as string ?? string.Empty;
    }

    internal static Task<string?> ReadAsync(SqlSession session, string name) =>
        session.TextAsync("SELECT content FROM store_note WHERE name = @name", ("@name", name));

    internal static Task WriteAsync(SqlSession session, string name, string content) =>
        session.ExecuteAsync(
            "INSERT INTO store_note (name, content) VALUES (@name, @content) ON CONFLICT (name) DO UPDATE SET content = excluded.content",
            ("@name", name),
            ("@content", content));
}
