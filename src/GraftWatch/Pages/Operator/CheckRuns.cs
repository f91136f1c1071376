using GraftWatch.Checks;
using GraftWatch.CommandLine;
using GraftWatch.Serving;
using NodaTime;

namespace GraftWatch.Pages.Operator;

/// <summary>Runs the checks of <c>graftwatch check</c> beside the daemon, one run at a time; pages show how far it is.</summary>
internal sealed class CheckRuns(ServeParts parts, IHostApplicationLifetime life)
{
    private readonly Lock gate = new();
    private Running? running;

    /// <summary>The last run, ended or not; null before the first.</summary>
    internal CheckRun? Last
    {
        get
        {
            lock (gate)
            {
                return running is null ? null : new CheckRun([.. running.Lines], running.EndedAt);
            }
        }
    }

    /// <summary>Begins a run; false while another is under way.</summary>
    internal bool Begin(string folder)
    {
        lock (gate)
        {
            if (running is { EndedAt: null })
            {
                return false;
            }

            running = new Running();
        }

        _ = Task.Run(() => RunAsync(running, folder), CancellationToken.None);
        return true;
    }

    private async Task RunAsync(Running run, string folder)
    {
        var terminal = new Terminal(TextWriter.Null, TextWriter.Null, parts.Clock, folder);
        var scope = new CheckScope(terminal, folder, new CheckSurroundings { Environment = parts.Environment, Sources = parts.Sources });
        try
        {
            await foreach (CheckLine line in InstallationCheck.RunAsync(scope, [], life.ApplicationStopping).ConfigureAwait(false))
            {
                lock (gate)
                {
                    run.Lines.Add(line);
                }
            }
        }
        catch (OperationCanceledException)
        {
            // The daemon stops.
        }
        finally
        {
            lock (gate)
            {
                run.EndedAt = Instant.FromDateTimeOffset(parts.Clock.GetUtcNow());
            }
        }
    }

    private sealed class Running
    {
        internal List<CheckLine> Lines { get; } = [];

        internal Instant? EndedAt { get; set; }
    }
}

/// <summary>A run of the checks.</summary>
/// <param name="Lines">What was found so far.</param>
/// <param name="EndedAt">When it ended; null while it runs.</param>
internal sealed record CheckRun(IReadOnlyList<CheckLine> Lines, Instant? EndedAt);
