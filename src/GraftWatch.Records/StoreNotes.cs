using System.Globalization;
using System.Security.Cryptography;
using GraftWatch.Records.Engine;
using Microsoft.Data.Sqlite;

namespace GraftWatch.Records;

/// <summary>Single values that belong to the installation.</summary>
public sealed class StoreNotes
{
    /// <summary>Note in a file store whose contents live elsewhere now.</summary>
    internal const string MovedToName = "moved to";

    /// <summary>Note in a database that a move has not finished with.</summary>
    internal const string FillingName = "being filled";

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

    /// <summary>A note; null when it was never written.</summary>
    /// <param name="name">Its name; those of the store itself are refused.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    public Task<string?> ReadAsync(string name, CancellationToken cancellationToken)
    {
        RefuseOwn(name);
        return engine.ReadAsync(session => ReadAsync(session, name), cancellationToken);
    }

    /// <summary>Writes a note in place of what it said before.</summary>
    /// <param name="name">Its name; those of the store itself are refused.</param>
    /// <param name="content">What it says from now on.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    public Task WriteAsync(string name, string content, CancellationToken cancellationToken)
    {
        RefuseOwn(name);
        return engine.WriteAsync(session => WriteAsync(session, name, content), cancellationToken);
    }

    /// <summary>A small number for a key, from 1, the same whenever asked and another for every key.</summary>
    /// <param name="series">Which numbers.</param>
    /// <param name="key">Whose.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    public Task<int> NumberOfAsync(string series, string key, CancellationToken cancellationToken)
    {
        RefuseOwn(series);
        return engine.WriteAsync(
            async session =>
            {
                await engine.LockAsync(session, series).ConfigureAwait(false);
                string own = series + " of " + key;
                if (await ReadAsync(session, own).ConfigureAwait(false) is { } known)
                {
                    return int.Parse(known, NumberStyles.None, CultureInfo.InvariantCulture);
                }

                int next = 1 + (await ReadAsync(session, series).ConfigureAwait(false) is { } last ? int.Parse(last, NumberStyles.None, CultureInfo.InvariantCulture) : 0);
                string word = next.ToString(CultureInfo.InvariantCulture);
                await WriteAsync(session, series, word).ConfigureAwait(false);
                await WriteAsync(session, own, word).ConfigureAwait(false);
                return next;
            },
            cancellationToken);
    }

    private static void RefuseOwn(string name)
    {
        if (name is "secret" or Ledger.LetterLedger.ForgottenBefore)
        {
            throw new ArgumentException("The store keeps that note itself.", nameof(name));
        }
    }

    /// <summary>Why no letters may be sent from this store: a sentence, or null when they may.</summary>
    public Task<string?> WhyNotServedAsync(CancellationToken cancellationToken) => engine.ReadAsync(
        async session =>
        {
            string? movedTo = await ReadAsync(session, MovedToName).ConfigureAwait(false);
            if (movedTo is not null)
            {
                return $"The contents of this store were moved to {movedTo}; served from here, letters would go out twice. Name the new store in the table [store] of graftwatch.toml.";
            }

            string? filling = await ReadAsync(session, FillingName).ConfigureAwait(false);
            return filling is null ? null : $"This store is only half there: graftwatch move from {filling[(filling.IndexOf(' ', StringComparison.Ordinal) + 1)..]} was not finished. Run it again.";
        },
        cancellationToken);

    /// <summary>Whether anything of a grower was ever kept here.</summary>
    public Task<bool> WasUsedAsync(CancellationToken cancellationToken) => engine.ReadAsync(
        async session => await session.NumberAsync("SELECT count(*) FROM (SELECT 1 FROM grower LIMIT 1) AS one").ConfigureAwait(false) > 0,
        cancellationToken);

    /// <summary>Where the contents of a file store were moved to; empty when they were not.</summary>
    internal static string MovedTo(SqliteConnection connection)
    {
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = $"SELECT content FROM store_note WHERE name = '{MovedToName}'";
        return command.ExecuteScalar() as string ?? string.Empty;
    }

    /// <summary>Says in a store that its contents live elsewhere now, so that it is not served again.</summary>
    /// <param name="place">Where they live.</param>
    /// <param name="cancellationToken">Stops before the note is made.</param>
    public Task SealAsync(string place, CancellationToken cancellationToken) =>
        engine.WriteAsync(session => WriteAsync(session, MovedToName, place), cancellationToken);

    internal static Task<string?> ReadAsync(SqlSession session, string name) =>
        session.TextAsync("SELECT content FROM store_note WHERE name = @name", ("@name", name));

    internal static Task WriteAsync(SqlSession session, string name, string content) =>
        session.ExecuteAsync(
            "INSERT INTO store_note (name, content) VALUES (@name, @content) ON CONFLICT (name) DO UPDATE SET content = excluded.content",
            ("@name", name),
            ("@content", content));
}
