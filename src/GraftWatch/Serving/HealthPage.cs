using System.Text;
using GraftWatch.Serving.Metrics;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Serving;

/// <summary>Health: <c>/live</c> for a supervisor, <c>/ready</c> with every trouble, <c>/metrics</c> for Prometheus, <c>/</c> for people. Reasons and metrics only on the listener for watching.</summary>
internal static class HealthPage
{
    private static readonly Duration LongestSilence = Duration.FromMinutes(5);

    internal static async Task AnswerAsync(HttpContext context)
    {
        bool full = WatchLine.IsOurs(context);
        ServeReport report = context.RequestServices.GetRequiredService<ServeState>().Report();
        Instant now = Instant.FromDateTimeOffset(context.RequestServices.GetRequiredService<TimeProvider>().GetUtcNow());
        bool live = report.LastLook is { } look && now - look < LongestSilence;
        bool ready = live && report.Troubles.Count == 0;
        (int status, string body) = (context.Request.Path.Value, full) switch
        {
            ("/live", _) => (live ? 200 : 503, live ? "live\n" : "no look through the mornings was completed lately\n"),
            ("/ready", false) => (ready ? 200 : 503, ready ? "ready\n" : "not ready\n"),
            ("/ready", true) => (ready ? 200 : 503, Troubles(report, ready)),
            ("/metrics", true) => await MetricsAsync(context).ConfigureAwait(false),
            ("/", true) => (200, Page(report, ready)),
            (_, true) => (404, "There is /, /live, /ready and /metrics.\n"),
            _ => (404, "There is nothing here.\n"),
        };
        bool metrics = full && context.Request.Path == "/metrics" && status == 200;
        context.Response.StatusCode = status;
        context.Response.ContentType = metrics ? PrometheusText.ContentType : "text/plain; charset=utf-8";
        context.Response.Headers.CacheControl = "no-store";
        await context.Response.WriteAsync(body, context.RequestAborted).ConfigureAwait(false);
    }

    private static async Task<(int Status, string Body)> MetricsAsync(HttpContext context)
    {
        try
        {
            return (200, await context.RequestServices.GetRequiredService<ServeMetrics>().WriteAsync(context.RequestAborted).ConfigureAwait(false));
        }
        catch (System.Data.Common.DbException trouble)
        {
            return (503, $"The store does not answer: {trouble.Message}\n");
        }
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
