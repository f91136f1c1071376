using System.CommandLine;
using GraftWatch.CommandLine;

namespace GraftWatch.Commands;

/// <summary>Asks a running daemon whether it lives; what a container's health check runs, where there is no shell and no other program.</summary>
internal static class LiveCommand
{
    private const string UsualAddress = "http://127.0.0.1:8620";
    private static readonly TimeSpan Limit = TimeSpan.FromSeconds(5);

    internal static Command Build(Terminal terminal)
    {
        var address = new Argument<string>("ADDRESS")
        {
            Description = "Where serve listens.",
            DefaultValueFactory = _ => UsualAddress,
        };
        var command = new Command("live", "Ask a running serve whether it lives; for the health check of a container or a monitor.") { address };
        command.SetAction((parsed, cancellationToken) => RunAsync(terminal, parsed.GetValue(address)!, cancellationToken));
        return command;
    }

    private static async Task<int> RunAsync(Terminal terminal, string address, CancellationToken cancellationToken)
    {
        if (!Uri.TryCreate(address.TrimEnd('/') + "/live", UriKind.Absolute, out Uri? page) || page.Scheme is not ("http" or "https"))
        {
            return terminal.Refuse([$"{address} is not an address; write it as {UsualAddress}."]);
        }

        using var client = new HttpClient { Timeout = Limit };
        try
        {
            using HttpResponseMessage answer = await client.GetAsync(page, cancellationToken).ConfigureAwait(false);
            string words = (await answer.Content.ReadAsStringAsync(cancellationToken).ConfigureAwait(false)).Trim();
            await (answer.IsSuccessStatusCode ? terminal.Results : terminal.Messages).WriteLineAsync(answer.IsSuccessStatusCode ? "live" : $"{page} says {(int)answer.StatusCode}: {words}").ConfigureAwait(false);
            return answer.IsSuccessStatusCode ? ExitCode.Fine : ExitCode.Failed;
        }
        catch (Exception e) when (e is HttpRequestException or OperationCanceledException && !cancellationToken.IsCancellationRequested)
        {
            await terminal.Messages.WriteLineAsync($"{page} does not answer: {e.Message}").ConfigureAwait(false);
            return ExitCode.Failed;
        }
    }
}
