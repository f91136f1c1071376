using System.Runtime.CompilerServices;
using System.Threading.Channels;

namespace GraftWatch.Checks;

/// <summary>Checks an installation, one line each; a check that hangs or fails never holds up the others.</summary>
internal static class InstallationCheck
{
    // The clock comes behind those that talk to other machines: it holds this clock against theirs.
    private static readonly ICheck[] Checks =
    [
        new SettingsCheck(), new StoreCheck(), new RegisterCheck(), new MailCheck(), new ChannelCheck(), new WeatherCheck(),
        new StationCheck(), new ClockCheck(), new ZonesCheck(), new TrustCheck(), new PictureCheck(), new PageCheck(), new ServiceCheck(),
    ];

    /// <summary>The words <c>--only</c> takes.</summary>
    internal static IReadOnlyList<string> Subjects { get; } = [.. Checks.Select(check => check.Subject)];

    /// <summary>Checks everything that can be checked.</summary>
    /// <param name="scope">The installation.</param>
    /// <param name="only">Words of the checks to run; none for all.</param>
    /// <param name="cancellationToken">Ends the run.</param>
    internal static async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, IReadOnlyCollection<string> only, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        foreach (ICheck check in Checks.Where(check => only.Count == 0 || only.Contains(check.Subject)))
        {
            if (check.NeedsSettings && !scope.IsReadable)
            {
                if (only.Count > 0)
                {
                    yield return new CheckLine(check.Subject, CheckVerdict.Wrong, "Not checked, because the settings are wrong.", "Run graftwatch check --only settings.");
                }

                continue;
            }

            await foreach (CheckLine line in BoundedAsync(check, scope, cancellationToken).ConfigureAwait(false))
            {
                yield return line;
            }
        }
    }

    // Some calls heed no token (a database at work, a resolver), so the wait itself is bounded and what comes later is let go.
    private static async IAsyncEnumerable<CheckLine> BoundedAsync(ICheck check, CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        var lines = Channel.CreateUnbounded<CheckLine>();
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(scope.Surroundings.Limit);
        _ = Task.Run(() => CollectAsync(check, scope, lines.Writer, limit.Token), CancellationToken.None);
        while (true)
        {
            CheckLine line;
            bool ended = false;
            try
            {
                line = await lines.Reader.ReadAsync(limit.Token).ConfigureAwait(false);
            }
            catch (ChannelClosedException)
            {
                yield break;
            }
            catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
            {
                line = new CheckLine(check.Subject, CheckVerdict.Failed, $"Not finished within {scope.Surroundings.Limit.TotalSeconds:0} s.", "What it asks does not answer; run it alone with --only " + check.Subject + ".");
                ended = true;
            }

            yield return line;
            if (ended)
            {
                yield break;
            }
        }
    }

    private static async Task CollectAsync(ICheck check, CheckScope scope, ChannelWriter<CheckLine> lines, CancellationToken cancellationToken)
    {
        try
        {
            await foreach (CheckLine line in check.RunAsync(scope, cancellationToken).ConfigureAwait(false))
            {
                lines.TryWrite(line);
            }

            lines.TryComplete();
        }
        catch (OperationCanceledException) when (cancellationToken.IsCancellationRequested)
        {
            // The reader tells of it.
        }
        catch (Exception unforeseen)
        {
            lines.TryWrite(new CheckLine(check.Subject, CheckVerdict.Failed, $"The check itself failed: {OneLine(unforeseen.Message)}", "Please report this as a bug."));
            lines.TryComplete();
        }
    }

    /// <summary>Words of a library on one line.</summary>
    internal static string OneLine(string words)
    {
        string line = string.Join(' ', words.Split(['\r', '\n'], StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries));
        return line.Length > 300 ? line[..300] + "…" : line;
    }
}
