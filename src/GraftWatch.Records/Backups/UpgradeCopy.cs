using System.Globalization;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Files;
using Microsoft.Data.Sqlite;

namespace GraftWatch.Records.Backups;

/// <summary>Copies of a store as it was before a program with a newer schema opened it, so that one can go back.</summary>
internal static class UpgradeCopy
{
    private const string Mark = ".before-";
    private const int Digits = 4;
    private const int Most = 3;

    /// <summary>Makes and proves the copy beside the store, named after the first step to come, and drops the oldest beyond three.</summary>
    /// <param name="path">The store.</param>
    /// <param name="step">First step that is not applied.</param>
    /// <exception cref="StoreRefusedException">The copy cannot be made; the store is as it was.</exception>
    public static void Keep(string path, int step)
    {
        string copy = string.Create(CultureInfo.InvariantCulture, $"{path}{Mark}{step:0000}");
        string beside = string.Create(CultureInfo.InvariantCulture, $"{copy}.{Environment.ProcessId}-{Environment.CurrentManagedThreadId}.new");
        try
        {
            (string hash, _) = Backup.Copy(path, beside);
            Backup.Prove(beside, hash);
            if (HasStep(beside, step))
            {
                return; // Another program was faster: what lies here is no longer from before.
            }

            SafeFile.Sync(beside);
            SafeFile.PutInPlace(beside, copy);
            foreach (string old in Of(path).SkipLast(Most))
            {
                File.Delete(old);
            }
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException or SqliteException or BackupFailedException)
        {
            bool full = failure is SqliteException { SqliteErrorCode: SqliteFiles.Full };
            throw new StoreRefusedException(
                full ? StoreRefusal.DiskFull : StoreRefusal.NotWritable,
                $"An older GraftWatch wrote {path}. It is copied before it is brought up to date, and the copy {copy} cannot be made ({failure.Message.TrimEnd('.')}). Make room as large as the store; nothing was changed.",
                failure);
        }
        finally
        {
            Backup.DeleteAll(beside);
        }
    }

    /// <summary>The copies of a store, oldest schema first.</summary>
    public static IReadOnlyList<string> Of(string path) =>
        [.. Directory.EnumerateFiles(Path.GetDirectoryName(path)!, Path.GetFileName(path) + Mark + "*").Where(file => IsStep(file[(path.Length + Mark.Length)..])).Order(StringComparer.Ordinal)];

    private static bool IsStep(string end) => end.Length == Digits && end.All(char.IsAsciiDigit);

    private static bool HasStep(string path, int step)
    {
        using SqliteConnection connection = SqliteFiles.ConnectReader(path, new SqliteStoreOptions());
        return SqliteFiles.Number(connection, string.Create(CultureInfo.InvariantCulture, $"SELECT count(*) FROM schema_version WHERE number = {step}")) > 0;
    }
}
