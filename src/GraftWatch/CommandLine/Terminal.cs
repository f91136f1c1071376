using GraftWatch.Serving.Clocks;
using NodaTime;

namespace GraftWatch.CommandLine;

/// <summary>Where a command speaks and what it takes from its surroundings: results to <see cref="Results"/>, everything else to <see cref="Messages"/>.</summary>
/// <param name="Results">Standard output.</param>
/// <param name="Messages">Standard error.</param>
/// <param name="Clock">The clock, read once a run.</param>
/// <param name="Folder">Folder relative paths start from.</param>
internal sealed record Terminal(TextWriter Results, TextWriter Messages, TimeProvider Clock, string Folder)
{
    /// <summary>The terminal the process was started from.</summary>
    internal static Terminal OfProcess() => new(Console.Out, Console.Error, TimeProvider.System, Environment.CurrentDirectory) { IsInteractive = !Console.IsInputRedirected && !Console.IsErrorRedirected };

    /// <summary>Whether a person sits at it.</summary>
    internal bool IsInteractive { get; init; }

    /// <summary>Who is asked about the clock when it is in doubt, given the address of the weather service.</summary>
    internal Func<Uri, IClockWitness> WitnessOf { get; init; } = address => new OutsideWitness(address);

    /// <summary>The instant of the run.</summary>
    internal Instant Now() => Instant.FromDateTimeOffset(Clock.GetUtcNow());

    /// <summary>A path as given, made absolute.</summary>
    internal string PathOf(string path) => Path.GetFullPath(path, Folder);

    /// <summary>Lists faults, one a line, and gives the exit code for them.</summary>
    internal int Refuse(IEnumerable<string> faults)
    {
        int count = 0;
        foreach (string fault in faults)
        {
            Messages.WriteLine(fault);
            count++;
        }

        Messages.WriteLine(count == 1 ? "1 fault; nothing was done." : $"{count} faults; nothing was done.");
        return ExitCode.BadInput;
    }
}
