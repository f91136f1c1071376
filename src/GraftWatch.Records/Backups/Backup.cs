using System.Security.Cryptography;
using GraftWatch.Records.Archive;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Files;
using GraftWatch.Records.Ledger;
using GraftWatch.Rounds.Ports;
using Microsoft.Data.Sqlite;
using NodaTime;

namespace GraftWatch.Records.Backups;

/// <summary>Copies of a file store: made while it works, proven before they count, and put back so that no old letter goes out again.</summary>
public static class Backup
{
    /// <summary>Makes a copy of a store that may be at work, and proves it: opened, every page checked, every row compared.</summary>
    /// <param name="store">The store.</param>
    /// <param name="path">Where the copy goes; a file there is replaced once the new one is proven.</param>
    /// <param name="cancellationToken">Stops between steps.</param>
    /// <exception cref="BackupFailedException">The copy could not be made or is not right; what was at <paramref name="path"/> stays.</exception>
    public static Task<BackupProof> MakeAsync(SqliteStore store, string path, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(store);
        string full = Path.GetFullPath(path);
        string beside = full + ".new";
        return Task.Run(
            () =>
            {
                try
                {
                    Directory.CreateDirectory(Path.GetDirectoryName(full)!);
                    DeleteAll(beside);
                    (string hash, long rows) = Copy(store.Path, beside);
                    cancellationToken.ThrowIfCancellationRequested();
                    Prove(beside, hash);
                    SafeFile.Sync(beside);
                    string fileHash = HashOf(beside);
                    SafeFile.PutInPlace(beside, full);
                    return HashOf(full) == fileHash
                        ? new BackupProof(full, new FileInfo(full).Length, fileHash, rows)
                        : throw new BackupFailedException($"The copy at {full} reads back different from what was written; the disk is not to be trusted.");
                }
                catch (Exception failure) when (failure is IOException or UnauthorizedAccessException or SqliteException)
                {
                    throw new BackupFailedException($"The copy {full} could not be made: {failure.Message}", failure);
                }
                finally
                {
                    DeleteAll(beside);
                }
            },
            cancellationToken);
    }

    /// <summary>Puts a copy in the place of a store. The store of before is kept beside it.</summary>
    /// <param name="backup">The copy; it is not changed.</param>
    /// <param name="storePath">Path of the store; no program may be sending letters from it.</param>
    /// <param name="firstLetterDate">First local day a letter may be made for: earlier days may have had theirs after the copy was made.</param>
    /// <param name="now">The instant of the restore.</param>
    /// <param name="cancellationToken">Stops before anything is changed.</param>
    /// <returns>How many waiting letters were given up, and where the store of before is.</returns>
    /// <exception cref="BackupFailedException">The copy is not right; the store is as it was.</exception>
    /// <exception cref="StoreRefusedException">The store is in use, or a newer program made the copy.</exception>
    public static async Task<RestoreReport> RestoreAsync(string backup, string storePath, LocalDate firstLetterDate, Instant now, CancellationToken cancellationToken)
    {
        string full = Path.GetFullPath(storePath);
        using StoreLock held = StoreLock.Take(full);
        string beside = full + ".new";
        try
        {
            DeleteAll(beside);
            File.Copy(Path.GetFullPath(backup), beside);
            Prove(beside, expectedHash: null);
            int givenUp = await MakeSafeAsync(beside, firstLetterDate, now, cancellationToken).ConfigureAwait(false);
            SafeFile.Sync(beside);
            string? before = SetAside(full, now);
            SafeFile.PutInPlace(beside, full);
            return new RestoreReport(givenUp, before);
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException or SqliteException)
        {
            throw new BackupFailedException($"{backup} could not be restored: {failure.Message}", failure);
        }
        finally
        {
            DeleteAll(beside);
        }
    }

    // The copy and the hash see the same unchanging picture: one read transaction spans both.
    internal static (string Hash, long Rows) Copy(string from, string to)
    {
        using SqliteConnection source = SqliteFiles.ConnectReader(from, new SqliteStoreOptions());
        using SqliteTransaction picture = source.BeginTransaction(deferred: true);
        (string Hash, long Rows) contents = LogicalHash.Of(source);
        using SqliteConnection target = SqliteFiles.Connect(to, new SqliteStoreOptions(), SqliteOpenMode.ReadWriteCreate);
        source.BackupDatabase(target);
        SqliteFiles.Text(target, "PRAGMA journal_mode = DELETE");
        return contents;
    }

    internal static void Prove(string path, string? expectedHash)
    {
        using SqliteConnection copy = SqliteFiles.Connect(path, new SqliteStoreOptions(), SqliteOpenMode.ReadWrite);
        SqliteFiles.RefuseForeign(copy, path);
        if (SqliteFiles.Number(copy, "PRAGMA application_id") != SqliteFiles.ApplicationId)
        {
            throw new BackupFailedException($"{path} is empty.");
        }

        string answer = SqliteFiles.Text(copy, "PRAGMA integrity_check(1)");
        if (answer != "ok")
        {
            throw new BackupFailedException($"The copy is damaged: {answer}");
        }

        if (SqliteFiles.Number(copy, "SELECT count(*) FROM pragma_foreign_key_check") > 0)
        {
            throw new BackupFailedException("The copy is damaged: a row refers to nothing.");
        }

        if (expectedHash is not null && LogicalHash.Of(copy).Hash != expectedHash)
        {
            throw new BackupFailedException("The copy holds other rows than the store.");
        }
    }

    private static async Task<int> MakeSafeAsync(string path, LocalDate firstLetterDate, Instant now, CancellationToken cancellationToken)
    {
        // Closing the last connection empties and removes the journal.
        SqliteStore store = await SqliteStore.OpenAsync(path, new SqliteStoreOptions { ReserveBytes = 0, CopyBeforeUpgrade = false }, cancellationToken).ConfigureAwait(false);
        await using (store.ConfigureAwait(false))
        {
            return await store.Engine.WriteAsync(session => GiveUpWaitingAsync(session, firstLetterDate, now), cancellationToken).ConfigureAwait(false);
        }
    }

    private static async Task<int> GiveUpWaitingAsync(SqlSession session, LocalDate firstLetterDate, Instant now)
    {
        await LetterLedger.ForgetTodayAsync(session, firstLetterDate, now).ConfigureAwait(false);
        List<(long Id, int Tries)> waiting = await session.ListAsync(reader => (reader.GetInt64(0), reader.Whole(1)), "SELECT id, tries FROM letter WHERE state = 'waiting'").ConfigureAwait(false);
        foreach ((long id, int tries) in waiting)
        {
            await LetterLedger.RecordTryAsync(session, id, LetterState.Waiting, tries, NotSent.BecauseRestored, now).ConfigureAwait(false);
        }

        return waiting.Count;
    }

    // Copies, not renames: at no moment is there no store at its path, or a start in between would make an empty one.
    private static string? SetAside(string store, Instant now)
    {
        if (!File.Exists(store))
        {
            return null;
        }

        string aside = $"{store}.before-{now.ToUnixTimeSeconds()}";
        foreach (string end in (string[])[string.Empty, "-wal"])
        {
            if (File.Exists(store + end))
            {
                File.Copy(store + end, aside + end, overwrite: true);
                SafeFile.Sync(aside + end);
            }
        }

        // A journal of the old file must never be played into the new one.
        File.Delete(store + "-wal");
        File.Delete(store + "-shm");
        return aside;
    }

    private static string HashOf(string path)
    {
        using FileStream file = File.OpenRead(path);
        return Convert.ToHexStringLower(SHA256.HashData(file));
    }

    internal static void DeleteAll(string path)
    {
        foreach (string end in (string[])[string.Empty, "-wal", "-shm", "-journal"])
        {
            if (File.Exists(path + end))
            {
                File.Delete(path + end);
            }
        }
    }
}

/// <summary>A copy that was opened, checked page by page and compared row by row.</summary>
/// <param name="Path">Where it is.</param>
/// <param name="Bytes">Its size.</param>
/// <param name="Sha256">Hash of the file, hex.</param>
/// <param name="Rows">Rows in it.</param>
public sealed record BackupProof(string Path, long Bytes, string Sha256, long Rows);

/// <summary>What a restore did.</summary>
/// <param name="LettersGivenUp">Letters that were waiting in the copy and will not be sent.</param>
/// <param name="Before">Where the store of before is kept; null when there was none.</param>
public sealed record RestoreReport(int LettersGivenUp, string? Before);

/// <summary>A copy could not be made, proven or restored; the message says why.</summary>
public sealed class BackupFailedException(string message, Exception? inner = null) : Exception(message, inner);
