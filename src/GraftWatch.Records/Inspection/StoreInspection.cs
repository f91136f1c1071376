using System.Globalization;
using GraftWatch.Records.Backups;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Files;
using GraftWatch.Records.Housekeeping;
using GraftWatch.Records.Ledger;
using Microsoft.Data.Sqlite;
using NodaTime;
using Npgsql;

namespace GraftWatch.Records.Inspection;

/// <summary>Looks at a store without opening it for work: nothing is made, upgraded, filled or repaired.</summary>
public static class StoreInspection
{
    private static readonly SqliteStoreOptions Brief = new() { BusyTimeout = Duration.FromSeconds(3), ReserveBytes = 0 };

    private static readonly string LettersOfADay = string.Create(
        CultureInfo.InvariantCulture, $"SELECT coalesce(sum({LetterRows.Size}), 0) FROM letter l WHERE l.sealed_at > (SELECT max(sealed_at) FROM letter) - {NodaConstants.TicksPerDay}");

    /// <summary>Looks at a file store.</summary>
    /// <param name="path">Where it is or will be.</param>
    /// <param name="disk">What is known of its disk.</param>
    /// <param name="cancellationToken">Stops between steps.</param>
    /// <exception cref="StoreRefusedException">It could not be worked with; the message says why and what to do.</exception>
    public static Task<StoreFindings> LookAsync(string path, DiskFacts disk, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(disk);
        string full = Path.GetFullPath(path);
        return Task.Run(() => Look(full, disk), cancellationToken);
    }

    /// <summary>Looks at a PostgreSQL store.</summary>
    /// <param name="connectionString">Key=value pairs as Npgsql takes them.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    /// <exception cref="StoreRefusedException">It could not be worked with.</exception>
    public static async Task<StoreFindings> LookAtServerAsync(string connectionString, CancellationToken cancellationToken)
    {
        var engine = new PostgresEngine(connectionString);
        await using (engine.ConfigureAwait(false))
        {
            try
            {
                IReadOnlyList<Migration> shipped = Migration.Shipped(engine.Name);
                IReadOnlySet<int> applied = await new Migrator(engine, shipped).CheckAsync(cancellationToken).ConfigureAwait(false);
                return await engine.ReadAsync(session => ServerAsync(session, applied, shipped), cancellationToken).ConfigureAwait(false);
            }
            catch (NpgsqlException failure)
            {
                throw PostgresStore.Refusal(connectionString, failure);
            }
        }
    }

    private static async Task<StoreFindings> ServerAsync(SqlSession session, IReadOnlySet<int> applied, IReadOnlyList<Migration> shipped)
    {
        string fsync = await session.TextAsync("SELECT current_setting('fsync')").ConfigureAwait(false) ?? string.Empty;
        long number = await session.NumberAsync("SELECT current_setting('server_version_num')::bigint").ConfigureAwait(false) ?? 0;
        var remarks = new List<(string, string)>();
        if (fsync != "on")
        {
            remarks.Add(("The server runs with fsync = off: a power cut loses letters and receipts.", "Set fsync = on in postgresql.conf and restart the server."));
        }

        if (applied.Count == shipped.Count)
        {
            remarks.AddRange(StrayRows.Remarks(
                StrayRows.PlacesOfNobody(await StrayRows.NamesAsync(session, StrayRows.Places).ConfigureAwait(false), await StrayRows.NamesAsync(session, StrayRows.UsedPlaces).ConfigureAwait(false)),
                await StrayRows.NamesAsync(session, StrayRows.WithoutAddress).ConfigureAwait(false)));
        }

        if (number < 130_000)
        {
            throw new StoreRefusedException(StoreRefusal.OldLibrary, "The server is older than PostgreSQL 13. Use 13 or later.");
        }

        return new StoreFindings
        {
            Exists = applied.Count > 0,
            Step = applied.DefaultIfEmpty().Max(),
            KnownSteps = shipped[^1].Number,
            MissingSteps = shipped.Count - applied.Count,
            Version = "PostgreSQL " + await session.TextAsync("SELECT current_setting('server_version')").ConfigureAwait(false),
            Journal = "synchronous commits",
            Bytes = await session.NumberAsync("SELECT pg_database_size(current_database())").ConfigureAwait(false) ?? 0,
            Remarks = remarks,
        };
    }

    private static StoreFindings Look(string path, DiskFacts disk)
    {
        string folder = Path.GetDirectoryName(path)!;
        string existing = DiskFacts.Existing(folder);
        for (string? at = folder; at is not null && at != existing; at = Path.GetDirectoryName(at))
        {
            if (File.Exists(at))
            {
                throw new StoreRefusedException(StoreRefusal.NotWritable, $"{at} is a file, not a folder. Name a folder for the store.");
            }
        }

        SqliteFiles.RefuseNetworkDisk(path, disk.KindOf(existing));
        if (!UnixOwner.MayWrite(existing))
        {
            throw new StoreRefusedException(StoreRefusal.NotWritable, $"The folder {existing}{OwnerOf(existing)} cannot be written. Give it to the user GraftWatch runs as, or name another folder in data_folder; a disk mounted read-only must be mounted for writing.");
        }

        IReadOnlyList<Migration> shipped = Migration.Shipped("Sqlite");
        long free = disk.FreeBytesOf(existing);
        if (!File.Exists(path))
        {
            return new StoreFindings { Exists = false, KnownSteps = shipped[^1].Number, FreeBytes = free };
        }

        if (!UnixOwner.MayWrite(path))
        {
            throw new StoreRefusedException(StoreRefusal.NotWritable, $"The store {path}{OwnerOf(path)} cannot be written. Give it to the user GraftWatch runs as.");
        }

        return LookInside(path, shipped, free);
    }

    private static StoreFindings LookInside(string path, IReadOnlyList<Migration> shipped, long free)
    {
        try
        {
            using SqliteConnection connection = SqliteFiles.Connect(path, Brief, SqliteOpenMode.ReadWrite);
            SqliteFiles.RefuseOldLibrary(connection);
            SqliteFiles.RefuseForeign(connection, path);
            RefuseStuckLock(connection, path);
            SqliteFiles.Execute(connection, "PRAGMA query_only = ON;");
            RefuseDamage(connection, path);
            var findings = new StoreFindings
            {
                Exists = SqliteFiles.Number(connection, "SELECT count(*) FROM sqlite_schema") > 0,
                KnownSteps = shipped[^1].Number,
                Version = "SQLite " + connection.ServerVersion,
                Journal = "journal " + SqliteFiles.Text(connection, "PRAGMA journal_mode"),
                Bytes = new FileInfo(path).Length,
                FreeBytes = free,
                Sender = StoreLock.HolderOf(path) ?? string.Empty,
                Remarks = [.. Owners(path)],
            };
            if (!findings.Exists)
            {
                return findings;
            }

            IReadOnlySet<int> applied = Applied(connection, shipped);
            return findings with
            {
                Step = applied.DefaultIfEmpty().Max(),
                MissingSteps = shipped.Count - applied.Count,
                MovedTo = StoreNotes.MovedTo(connection),
                Remarks = applied.Count == shipped.Count ? [.. findings.Remarks, .. Stray(connection)] : findings.Remarks,
                LetterBytesADay = applied.Count == shipped.Count ? SqliteFiles.Number(connection, LettersOfADay) : 0,
            };
        }
        catch (SqliteException failure)
        {
            throw SqliteFiles.Refusal(path, failure);
        }
    }

    private static IEnumerable<(string What, string Mend)> Stray(SqliteConnection connection) => StrayRows.Remarks(
        StrayRows.PlacesOfNobody(SqliteFiles.Texts(connection, StrayRows.Places), SqliteFiles.Texts(connection, StrayRows.UsedPlaces)),
        SqliteFiles.Texts(connection, StrayRows.WithoutAddress));

    private static IReadOnlySet<int> Applied(SqliteConnection connection, IReadOnlyList<Migration> shipped)
    {
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = "SELECT number, name, hash FROM schema_version ORDER BY number";
        using SqliteDataReader reader = command.ExecuteReader();
        var rows = new List<(int Number, string Name, string Hash)>();
        while (reader.Read())
        {
            rows.Add((reader.GetInt32(0), reader.GetString(1), reader.GetString(2)));
        }

        return Migrator.Check(rows, shipped);
    }

    // Takes the writer's place for a moment and gives it back; a program that hangs inside a transaction would keep everyone out.
    private static void RefuseStuckLock(SqliteConnection connection, string path)
    {
        try
        {
            SqliteFiles.Execute(connection, "BEGIN IMMEDIATE; ROLLBACK;");
        }
        catch (SqliteException busy) when (busy.SqliteErrorCode is SqliteFiles.Busy or SqliteFiles.Locked)
        {
            string who = StoreLock.HolderOf(path) is { Length: > 0 } process ? $" (process {process} sends letters from it)" : string.Empty;
            throw new StoreRefusedException(StoreRefusal.InUse, $"Another program keeps {path} locked{who} and lets nobody write. Find it with: fuser -v {path}; end it, and run only one GraftWatch on a store.", busy);
        }
    }

    private static void RefuseDamage(SqliteConnection connection, string path)
    {
        string answer = SqliteFiles.Text(connection, "PRAGMA quick_check(1)");
        if (answer != "ok")
        {
            throw new StoreRefusedException(StoreRefusal.Damaged, $"{path} is damaged: {answer}. Restore the newest backup (graftwatch restore); keep the damaged file, an expert may save more from it.");
        }
    }

    private static IEnumerable<(string What, string Mend)> Owners(string path)
    {
        string folder = Path.GetDirectoryName(path)!;
        if (UnixOwner.Of(folder) is not { } home)
        {
            yield break;
        }

        foreach (string file in Directory.EnumerateFiles(folder, Path.GetFileName(path) + "*").Order(StringComparer.Ordinal))
        {
            if (UnixOwner.Of(file) is { } found && found.Owner != home.Owner)
            {
                yield return ($"{file} belongs to {UnixOwner.Name(found.Owner)}, its folder to {UnixOwner.Name(home.Owner)}: one of the two cannot work with it.", $"Run: chown -R {UnixOwner.Name(home.Owner)} {folder}");
                yield break;
            }
        }

        const int OthersRead = 4, OthersEnter = 1;
        if ((home.Mode & OthersEnter) != 0 && UnixOwner.Of(path) is { } store && (store.Mode & OthersRead) != 0)
        {
            yield return ($"{path} can be read by every user of this machine; it holds addresses and the key of the links.", $"Run: chmod 700 {folder}");
        }
    }

    private static string OwnerOf(string path) => UnixOwner.Of(path) is { } found
        ? string.Create(CultureInfo.InvariantCulture, $", which belongs to {UnixOwner.Name(found.Owner)},")
        : string.Empty;
}
