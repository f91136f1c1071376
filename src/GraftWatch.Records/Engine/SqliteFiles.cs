using System.Globalization;
using Microsoft.Data.Sqlite;

namespace GraftWatch.Records.Engine;

/// <summary>Connections to SQLite files and the questions asked before one is trusted.</summary>
internal static class SqliteFiles
{
    /// <summary>"GWST" in the file header says whose file it is.</summary>
    public const long ApplicationId = 0x47575354;

    /// <summary>SQLITE_FULL: no room on the disk.</summary>
    public const int Full = 13;

    /// <summary>SQLITE_BUSY: another process writes.</summary>
    public const int Busy = 5;

    /// <summary>SQLITE_LOCKED: another connection of this process does.</summary>
    public const int Locked = 6;

    private const int NotWritable = 8, DiskError = 10, Damaged = 11, CannotOpen = 14, NotADatabase = 26;

    // Below these, a rare race between a checkpoint and a reset of the journal could lose commits (fixed in 3.51.3, 3.50.7 and 3.44.6).
    private static readonly Version[] GoodLibraries = [new(3, 51, 3), new(3, 50, 7), new(3, 44, 6)];

    public static SqliteConnection Connect(string path, SqliteStoreOptions options, SqliteOpenMode mode)
    {
        var builder = new SqliteConnectionStringBuilder
        {
            DataSource = path,
            Mode = mode,
            Pooling = false,
            ForeignKeys = true,
            DefaultTimeout = Math.Max(1, (int)Math.Ceiling(options.BusyTimeout.TotalSeconds)),
        };
        var connection = new SqliteConnection(builder.ToString());
        try
        {
            connection.Open();
            Execute(connection, string.Create(CultureInfo.InvariantCulture, $"PRAGMA busy_timeout = {(long)options.BusyTimeout.TotalMilliseconds}; PRAGMA trusted_schema = OFF; PRAGMA mmap_size = 0; PRAGMA synchronous = FULL; PRAGMA cell_size_check = ON;"));
            return connection;
        }
        catch (SqliteException failure)
        {
            connection.Dispose();
            throw Refusal(path, failure);
        }
    }

    /// <summary>A connection that cannot change rows.</summary>
    public static SqliteConnection ConnectReader(string path, SqliteStoreOptions options)
    {
        SqliteConnection reader = Connect(path, options, SqliteOpenMode.ReadWrite);
        Execute(reader, "PRAGMA query_only = ON;");
        return reader;
    }

    public static void RefuseOldLibrary(SqliteConnection connection)
    {
        var version = new Version(connection.ServerVersion);
        bool good = GoodLibraries.Any(known => version >= known && (known.Minor == 51 || known.Minor == version.Minor));
        if (!good)
        {
            throw new StoreRefusedException(StoreRefusal.OldLibrary, $"The SQLite library is {version}; versions before 3.51.3 can lose commits. Install the library that comes with GraftWatch.");
        }
    }

    /// <summary>Lets a new file or one of ours pass.</summary>
    public static void RefuseForeign(SqliteConnection connection, string path)
    {
        try
        {
            long id = Number(connection, "PRAGMA application_id");
            if (id != ApplicationId && (id != 0 || Number(connection, "SELECT count(*) FROM sqlite_schema") != 0))
            {
                throw new StoreRefusedException(StoreRefusal.ForeignStore, $"{path} is a database of another program. Name another file for the store.");
            }
        }
        catch (SqliteException failure)
        {
            throw Refusal(path, failure);
        }
    }

    public static void RefuseNetworkDisk(string path, string kind)
    {
        if (kind is "nfs" or "nfs4" or "cifs" or "smb" or "smb2" or "smb3" or "smbfs" or "ncpfs" or "afs" or "9p" or "fuse.sshfs" or "fuse.glusterfs" or "ceph" or "lustre" or "gpfs" or "beegfs" or "orangefs")
        {
            throw new StoreRefusedException(StoreRefusal.NetworkDisk, $"{path} lies on a network share ({kind}), where SQLite's journal is not safe. Put the store on a local disk, or use PostgreSQL.");
        }
    }

    /// <summary>Sets WAL and full syncs, and reads both back: a store that forgets receipts would send letters twice.</summary>
    public static void MakeDurable(SqliteConnection connection, string path, SqliteStoreOptions options)
    {
        try
        {
            if (Number(connection, "SELECT count(*) FROM sqlite_schema") == 0)
            {
                Execute(connection, "PRAGMA auto_vacuum = INCREMENTAL;");
            }

            string mode = Text(connection, "PRAGMA journal_mode = WAL");
            Execute(connection, "PRAGMA wal_autocheckpoint = 1000; PRAGMA journal_size_limit = 67108864;");
            long synchronous = Number(connection, "PRAGMA synchronous");
            if (mode != "wal" || synchronous != 2)
            {
                throw new StoreRefusedException(StoreRefusal.NotWritable, $"{path} cannot be kept safely: journal mode is {mode}, synchronous is {synchronous}. The disk must allow shared memory files beside the store.");
            }

            if (options.MaxPages > 0)
            {
                Execute(connection, string.Create(CultureInfo.InvariantCulture, $"PRAGMA max_page_count = {options.MaxPages};"));
            }
        }
        catch (SqliteException failure)
        {
            throw Refusal(path, failure);
        }
    }

    /// <summary>Words for what SQLite says while a file is opened.</summary>
    public static StoreRefusedException Refusal(string path, SqliteException failure) => failure.SqliteErrorCode switch
    {
        NotADatabase => new(StoreRefusal.ForeignStore, $"{path} is not a database. Name another file for the store, or restore a backup.", failure),
        Damaged => new(StoreRefusal.Damaged, $"{path} is damaged ({failure.Message}). Restore the newest backup; keep the damaged file, an expert may save more from it.", failure),
        Full or DiskError when failure.SqliteErrorCode == Full || HasNoRoom(path) => new(StoreRefusal.DiskFull, $"There is no room for the store at {path}. Free some disk space.", failure),
        NotWritable or CannotOpen or DiskError => new(StoreRefusal.NotWritable, $"The store {path} cannot be opened for writing ({failure.Message}). Check that the folder exists, belongs to the user GraftWatch runs as, and is not read-only.", failure),
        _ => new(StoreRefusal.NotWritable, $"The store {path} cannot be opened ({failure.Message}).", failure),
    };

    // The journal's index is a file of its own; where it finds no room SQLite speaks of the disk, not of the room.
    private static bool HasNoRoom(string path)
    {
        const long Index = 64 << 10;
        try
        {
            return new DriveInfo(Path.GetDirectoryName(path)!).AvailableFreeSpace < Index;
        }
        catch (Exception unknown) when (unknown is IOException or UnauthorizedAccessException or ArgumentException)
        {
            return false;
        }
    }

    public static void Execute(SqliteConnection connection, string sql)
    {
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        command.ExecuteNonQuery();
    }

    public static long Number(SqliteConnection connection, string sql)
    {
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        return Convert.ToInt64(command.ExecuteScalar(), CultureInfo.InvariantCulture);
    }

    public static List<string> Texts(SqliteConnection connection, string sql)
    {
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        using SqliteDataReader reader = command.ExecuteReader();
        var texts = new List<string>();
        while (reader.Read())
        {
            texts.Add(reader.GetString(0));
        }

        return texts;
    }

    public static string Text(SqliteConnection connection, string sql)
    {
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        return (string)command.ExecuteScalar()!;
    }
}
