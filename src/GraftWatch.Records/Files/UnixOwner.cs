using System.Globalization;
using System.Runtime.InteropServices;

namespace GraftWatch.Records.Files;

/// <summary>Who owns a file and who may do what with it, on systems that have owners.</summary>
internal static partial class UnixOwner
{
    private const int StatBytes = 256, OwnerAt = 20, ModeAt = 28;
    private const int CurrentFolder = -100, BasicFields = 0x7ff, WriteAccess = 2;

    /// <summary>The numeric owner and the mode; null where there is no such thing.</summary>
    public static (uint Owner, int Mode)? Of(string path)
    {
        if (!OperatingSystem.IsLinux())
        {
            return null;
        }

        // statx has one layout on all machines; stat has not.
        byte[] found = new byte[StatBytes];
        return Statx(CurrentFolder, path, 0, BasicFields, found) == 0
            ? (BitConverter.ToUInt32(found, OwnerAt), BitConverter.ToUInt16(found, ModeAt))
            : null;
    }

    /// <summary>Whether this process may write there; a disk that is mounted read-only says no to the superuser too.</summary>
    public static bool MayWrite(string path) => !OperatingSystem.IsLinux() || Access(path, WriteAccess) == 0;

    /// <summary>The owner's name, or the number where no name is known.</summary>
    public static string Name(uint owner)
    {
        string number = owner.ToString(CultureInfo.InvariantCulture);
        try
        {
            foreach (string line in File.ReadLines("/etc/passwd"))
            {
                string[] fields = line.Split(':');
                if (fields.Length > 2 && fields[2] == number)
                {
                    return fields[0];
                }
            }
        }
        catch (Exception unreadable) when (unreadable is IOException or UnauthorizedAccessException)
        {
            return number;
        }

        return number;
    }

    [LibraryImport("libc", EntryPoint = "statx", StringMarshalling = StringMarshalling.Utf8)]
    private static partial int Statx(int folder, string path, int flags, uint mask, [Out] byte[] found);

    [LibraryImport("libc", EntryPoint = "access", StringMarshalling = StringMarshalling.Utf8)]
    private static partial int Access(string path, int mode);
}
