using System.Collections.Concurrent;
using System.Diagnostics;

namespace GraftWatch.Crash.Lives;

/// <summary>Ends this process as a power switch would when it comes to a named point for the n-th time: no finally block runs, nothing is closed.</summary>
internal static class KillSwitch
{
    private static readonly ConcurrentDictionary<string, bool> Seen = new(StringComparer.Ordinal);
    private static string target = string.Empty;
    private static int left;
    private static Action<string>? tell;

    /// <summary>Sets the point.</summary>
    /// <param name="point">Name; empty for none.</param>
    /// <param name="times">At the how-manieth time.</param>
    /// <param name="hear">Hears each name the first time it is reached; null when nobody asks.</param>
    internal static void Arm(string point, int times, Action<string>? hear)
    {
        target = point;
        left = times;
        tell = hear;
    }

    /// <summary>A point of that name is reached.</summary>
    internal static void Here(string point)
    {
        if (tell is not null && Seen.TryAdd(point, true))
        {
            tell(point);
        }

        if (point == target && Interlocked.Decrement(ref left) == 0)
        {
            Die();
        }
    }

    /// <summary>Runs a call between two points.</summary>
    internal static async Task<T> AroundAsync<T>(string name, Func<Task<T>> call)
    {
        Here("before " + name);
        T result = await call();
        Here("after " + name);
        return result;
    }

    /// <inheritdoc cref="AroundAsync{T}"/>
    internal static async Task AroundAsync(string name, Func<Task> call)
    {
        Here("before " + name);
        await call();
        Here("after " + name);
    }

    private static void Die()
    {
        using var self = Process.GetCurrentProcess();
        self.Kill();
        Thread.Sleep(Timeout.Infinite);
    }
}
