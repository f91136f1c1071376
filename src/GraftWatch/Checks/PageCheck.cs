using System.Net;
using System.Net.Sockets;
using System.Runtime.CompilerServices;
using System.Security.Authentication;
using GraftWatch.Serving;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Checks;

/// <summary>The pages: the port is ours or free, and the public address leads to our own page, sub-path and all.</summary>
internal sealed class PageCheck : ICheck
{
    private const int MostBytes = 4096;
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(8);

    public string Subject => "page";

    public async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        PageSettings page = scope.Installation.Page;
        using var handler = new SocketsHttpHandler { AllowAutoRedirect = false, UseCookies = false, ConnectTimeout = Patience };
        using var http = new HttpClient(handler) { Timeout = Patience, MaxResponseContentBufferSize = MostBytes };
        (string? live, _) = await AskAsync(http, new Uri($"http://{page.Listen}/live"), cancellationToken).ConfigureAwait(false);
        yield return Near(page.Listen, live);
        if (page.PublicAddress is not { } outside)
        {
            yield return Listening.LacksPublicAddress(page.Listen, page)
                ? new CheckLine(
                    Subject,
                    CheckVerdict.Look,
                    $"page.public_address: It is not set, and page.listen = \"{page.Listen}\" lets other machines in: letters carry no links, and the links of sign-in mails lead to {Listening.OnThisMachine(page.Listen)}, which works on this machine only.",
                    "Set public_address in [page] to the address growers type, such as \"https://grafts.example.org\"; or let the pages listen on this machine only: listen = \"" + PageSettings.UsualListen + "\".")
                : new CheckLine(Subject, CheckVerdict.Fine, "page.public_address is not set: letters carry no links.");
            yield break;
        }

        if (outside.Scheme != "https" && !outside.IsLoopback)
        {
            yield return new CheckLine(Subject, CheckVerdict.Look, $"page.public_address: {outside} is not encrypted; links in letters can be read on the way.", "Put a reverse proxy with https before it.");
        }

        if (live is null)
        {
            yield return new CheckLine(Subject, CheckVerdict.Look, $"page.public_address: {outside} is not asked while serve does not answer here.", "Start serve and check again.");
            yield break;
        }

        var asked = new Uri(outside.GetLeftPart(UriPartial.Path).TrimEnd('/') + "/live");
        (string? answer, string trouble) = await AskAsync(http, asked, cancellationToken).ConfigureAwait(false);
        yield return answer is not null
            ? new CheckLine(Subject, CheckVerdict.Fine, $"page.public_address: {asked} leads to GraftWatch.")
            : new CheckLine(Subject, CheckVerdict.Failed, $"page.public_address: {asked} does not lead to GraftWatch ({trouble}).", "Correct public_address, or let the reverse proxy pass that path on; docs/operations.md has an example.");
    }

    private CheckLine Near(string listen, string? live)
    {
        if (live is not null)
        {
            return new CheckLine(Subject, CheckVerdict.Fine, $"serve answers at {listen}: {live}.");
        }

        return FreePorts.Trouble(listen, "page.listen") is { } taken
            ? new CheckLine(Subject, CheckVerdict.Failed, taken)
            : new CheckLine(Subject, CheckVerdict.Fine, $"{listen} is free; serve does not run there now.");
    }

    // Our own health page says one of two things there; anybody else's says something else.
    private static async Task<(string? Live, string Trouble)> AskAsync(HttpClient http, Uri address, CancellationToken cancellationToken)
    {
        try
        {
            using HttpResponseMessage reply = await http.GetAsync(address, cancellationToken).ConfigureAwait(false);
            string body = (await reply.Content.ReadAsStringAsync(cancellationToken).ConfigureAwait(false)).Trim();
            bool ours = (reply.StatusCode == HttpStatusCode.OK && body == "live") || (reply.StatusCode == HttpStatusCode.ServiceUnavailable && body.StartsWith("no look through the mornings", StringComparison.Ordinal));
            return ours ? (body, string.Empty) : (null, $"it answers {(int)reply.StatusCode} and not as GraftWatch does");
        }
        catch (Exception away) when (away is HttpRequestException or AuthenticationException or SocketException or IOException || (away is OperationCanceledException && !cancellationToken.IsCancellationRequested))
        {
            return (null, away is OperationCanceledException ? "no answer in time" : InstallationCheck.OneLine(away.Message));
        }
    }
}
