using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;

namespace GraftWatch.Records.Files;

/// <summary>Files that are wholly there or not at all, whatever happens meanwhile.</summary>
internal static partial class SafeFile
{
    /// <summary>Writes beside <paramref name="path"/>, waits for the disk and renames.</summary>
    public static async Task WriteAsync(string path, Func<Stream, Task> write)
    {
        string full = Path.GetFullPath(path);
        string beside = full + ".new";
        try
        {
            FileStream stream = new(beside, FileMode.Create, FileAccess.ReadWrite, FileShare.None, 1 << 16);
            await using (stream.ConfigureAwait(false))
            {
                await write(stream).ConfigureAwait(false);
                await stream.FlushAsync().ConfigureAwait(false);
                stream.Flush(flushToDisk: true);
            }

            PutInPlace(beside, full);
        }
        catch
        {
            File.Delete(beside);
            throw;
        }
    }

    /// <summary>Makes sure the disk has a file's bytes.</summary>
    public static void Sync(string path)
    {
        using SafeFileHandle handle = File.OpenHandle(path, FileMode.Open, FileAccess.ReadWrite);
        RandomAccess.FlushToDisk(handle);
    }

    /// <summary>Renames over what was there, and makes sure the folder remembers.</summary>
    public static void PutInPlace(string beside, string path)
    {
        File.Move(beside, path, overwrite: true);
        SyncFolder(Path.GetDirectoryName(path)!);
    }

    /// <summary>The first bytes of a file another process holds; the lock keeps programs apart, not readers. Empty where it cannot be read.</summary>
    public static string ReadLocked(string path, int most)
    {
        int handle = OperatingSystem.IsWindows() ? -1 : Open(path, 0);
        if (handle < 0)
        {
            return string.Empty;
        }

        using var file = new SafeFileHandle(handle, ownsHandle: true);
        byte[] bytes = new byte[most];
        return System.Text.Encoding.ASCII.GetString(bytes, 0, RandomAccess.Read(file, bytes, 0));
    }

    // On Unix a renamed file may be lost with the power until its folder is synced too; other systems do it by themselves.
    private static void SyncFolder(string folder)
    {
        if (OperatingSystem.IsWindows())
        {
            return;
        }

        int folderHandle = Open(folder, 0);
        if (folderHandle < 0)
        {
            return;
        }

        _ = Fsync(folderHandle);
        _ = Close(folderHandle);
    }

    // The framework opens no folders.
    [LibraryImport("libc", EntryPoint = "open", StringMarshalling = StringMarshalling.Utf8)]
    private static partial int Open(string path, int flags);

    [LibraryImport("libc", EntryPoint = "fsync")]
    private static partial int Fsync(int handle);

    [LibraryImport("libc", EntryPoint = "close")]
    private static partial int Close(int handle);
}
