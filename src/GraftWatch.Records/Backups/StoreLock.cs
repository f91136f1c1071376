using System.Globalization;
using System.Text;
using GraftWatch.Records.Files;

namespace GraftWatch.Records.Backups;

/// <summary>Held by the one program that sends letters from a file store; the system lets it go when the program ends, however it ends.</summary>
public sealed class StoreLock : IDisposable
{
    private readonly FileStream file;

    private StoreLock(FileStream file) => this.file = file;

    /// <summary>Takes the lock of a store.</summary>
    /// <param name="storePath">Path of the store.</param>
    /// <exception cref="StoreRefusedException">Another program holds it; the message names its process.</exception>
    public static StoreLock Take(string storePath)
    {
        string path = Path.GetFullPath(storePath) + ".lock";
        try
        {
            Directory.CreateDirectory(Path.GetDirectoryName(path)!);
            var file = new FileStream(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
            file.SetLength(0);
            file.Write(Encoding.ASCII.GetBytes(Environment.ProcessId.ToString(CultureInfo.InvariantCulture) + "\n"));
            file.Flush();
            return new StoreLock(file);
        }
        catch (UnauthorizedAccessException failure)
        {
            throw NotWritable(path, failure);
        }
        catch (IOException failure)
        {
            throw Refusal(storePath, path, failure);
        }
    }

    private static StoreRefusedException Refusal(string storePath, string path, IOException failure)
    {
        if (HolderOf(storePath) is { } process)
        {
            string who = process.Length > 0 ? $"process {process}" : failure.Message;
            return new(StoreRefusal.InUse, $"Another program works with the store {storePath} ({who}). Stop it first; it is probably the GraftWatch service.", failure);
        }

        const int NoSpaceLeft = 28;
        return failure.HResult == NoSpaceLeft
            ? new(StoreRefusal.DiskFull, $"There is no room for the store at {storePath}. Free some disk space.", failure)
            : NotWritable(path, failure);
    }

    private static StoreRefusedException NotWritable(string path, Exception failure) =>
        new(StoreRefusal.NotWritable, $"{path} cannot be written ({failure.Message.TrimEnd('.')}). Check that the folder exists, belongs to the user GraftWatch runs as, and is not on a disk mounted read-only.", failure);

    /// <summary>Who holds the lock of a store: null when nobody does, the process number where it can be read, else empty.</summary>
    /// <param name="storePath">Path of the store.</param>
    public static string? HolderOf(string storePath)
    {
        string path = Path.GetFullPath(storePath) + ".lock";
        if (!File.Exists(path))
        {
            return null;
        }

        try
        {
            using var probe = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.Read);
            return null;
        }
        catch (UnauthorizedAccessException)
        {
            return string.Empty;
        }
        catch (IOException)
        {
            return SafeFile.ReadLocked(path, most: 20).Trim();
        }
    }

    public void Dispose() => file.Dispose();
}
