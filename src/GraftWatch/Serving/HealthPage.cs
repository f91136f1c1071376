using System.Text;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Serving;

/// <summary>The health page: <c>/live</c> for a supervisor, <c>/ready</c> with every trouble, <c>/</c> for people.</summary>
internal static class HealthPage
{
    private static readonly Duration LongestSilence = Duration.FromMinutes(5);

    internal static Task AnswerAsync(HttpContext context)
    {
        ServeReport report = context.RequestServices.GetRequiredService<ServeState>().Report();
        Instant now = Instant.FromDateTimeOffset(context.RequestServices.GetRequiredService<TimeProvider>().GetUtcNow());
        bool live = report.LastLook is { } look && now - look < LongestSilence;
        bool ready = live && report.Troubles.Count == 0;
        (int status, string body) = context.Request.Path.Value switch
        {
            "/live" => (live ? 200 : 503, live ? "live\n" : "no look through the mornings was completed lately\n"),
            "/ready" => (ready ? 200 : 503, Troubles(report, ready)),
            "/" => (200, Page(report, ready)),
            _ => (404, "There is /, /live and /ready.\n"),
        };
        context.Response.StatusCode = status;
        context.Response.ContentType = "text/plain; charset=utf-8";
        context.Response.Headers.CacheControl = "no-store";
        return context.Response.WriteAsync(body, context.RequestAborted);
    }

    private static string Troubles(ServeReport report, bool ready) =>
        ready ? "ready\n" : report.Troubles.Count == 0 ? "starting\n" : string.Join('\n', report.Troubles) + "\n";

    private static string Page(ServeReport report, bool ready)
    {
        var text = new StringBuilder("GraftWatch is running.\n");
        text.Append("Last look through the mornings: ").Append(At(report.LastLook)).Append('\n');
        text.Append("Last asked for weather: ").Append(At(report.LastWeather)).Append('\n');
        text.Append("Last letter taken by the mail server: ").Append(At(report.LastAccepted)).Append('\n');
        return text.Append(ready ? "Nothing is amiss.\n" : Troubles(report, ready)).ToString();
    }

    private static string At(Instant? instant) => instant is { } at ? InstantPattern.General.Format(at) : "not since the start";
}
