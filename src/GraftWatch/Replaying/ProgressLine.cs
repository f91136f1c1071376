using GraftWatch.CommandLine;

namespace GraftWatch.Replaying;

/// <summary>A line of progress on a terminal; nothing in a pipe.</summary>
internal sealed class ProgressLine : IProgress<int>, IDisposable
{
    private readonly TextWriter? to;
    private readonly int all;

    private ProgressLine(TextWriter? to, int all)
    {
        this.to = to;
        this.all = all;
    }

    internal static ProgressLine On(Terminal terminal, int all) =>
        new(ReferenceEquals(terminal.Messages, Console.Error) && !Console.IsErrorRedirected ? terminal.Messages : null, all);

    /// <inheritdoc/>
    public void Report(int value) => to?.Write($"\r{value} of {all} days");

    /// <inheritdoc/>
    public void Dispose() => to?.Write("\r" + new string(' ', 30) + "\r");
}
