using System.Runtime.InteropServices;

namespace GraftWatch.Serving;

/// <summary>Holds down what the C library keeps for the store and for encrypted lines. By default nearly every thread gets a pool of its own, and what is free in it stays there.</summary>
/// <remarks>mallopt(3) and malloc_trim(3) of the GNU C library; another library goes without.</remarks>
internal static partial class NativeHeap
{
    // M_ARENA_MAX of malloc.h.
    private const int ArenaMax = -8;

    /// <summary>From now on no more pools than processors.</summary>
    internal static void Share() => Try(() => SetOption(ArenaMax, Environment.ProcessorCount));

    /// <summary>Gives free pages back to the machine.</summary>
    internal static void Trim() => Try(() => Trim(0));

    private static void Try(Func<int> call)
    {
        try
        {
            _ = OperatingSystem.IsLinux() ? call() : 0;
        }
        catch (Exception other) when (other is EntryPointNotFoundException or DllNotFoundException)
        {
            // Not the GNU C library.
        }
    }

    [LibraryImport("libc", EntryPoint = "mallopt")]
    private static partial int SetOption(int option, int value);

    [LibraryImport("libc", EntryPoint = "malloc_trim")]
    private static partial int Trim(nint pad);
}
