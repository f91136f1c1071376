using System.Net;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Serving.Metrics;

/// <summary>Health and metrics of the running program, over HTTP.</summary>
public sealed class WatchPageTests : IAsyncDisposable
{
    private const string Mara = "Mara";
    private readonly ServeHarness serve = ServeHarness.Prepare("2026-05-12T03:10:00Z");
    private readonly HttpClient client = new();

    public async ValueTask DisposeAsync()
    {
        client.Dispose();
        await serve.DisposeAsync();
    }

    [Fact]
    public async Task Every_metric_is_in_the_format_and_in_the_guide_and_follows_the_morning()
    {
        await serve.StartAsync(listen: true);
        await serve.AdvanceAsync(5);
        IReadOnlyDictionary<string, ExpositionReader.Family> before = await MetricsAsync();
        Assert.Equal(15 * 60, before["graftwatch_letter_next_seconds"].Samples[0].Value, 60.0);
        Assert.False(before.ContainsKey("graftwatch_letters_total"));

        await serve.AdvanceAsync(17);
        await serve.LetterAsync(1);
        await serve.AdvanceAsync(1);
        IReadOnlyDictionary<string, ExpositionReader.Family> after = await MetricsAsync();
        Assert.Equal(1, Letters(after, "sealed"));
        Assert.Equal(1, Letters(after, "accepted"));
        Assert.Equal(1, after["graftwatch_letter_delay_seconds"].Samples[^1].Value);
        LedgerEntry entry = (await serve.EntryAsync("2026-05-12"))!;
        Assert.Equal((entry.LastTryAt!.Value - Instant.FromUtc(2026, 5, 12, 3, 30)).TotalSeconds, after["graftwatch_letter_delay_seconds"].Samples[^2].Value, 6);
        Assert.Equal(1, after["graftwatch_round_duration_seconds"].Samples[^1].Value);
        Assert.True(after["graftwatch_store_commit_seconds"].Samples[^1].Value > 0);
        Assert.True(after["graftwatch_weather_age_seconds"].Samples[0].Labels["source"].Length > 0);
        Assert.False(after.ContainsKey("graftwatch_letters_waiting"));

        string guide = await File.ReadAllTextAsync(Repository.PathOf("docs", "metrics.md"), TestContext.Current.CancellationToken);
        Assert.All(after.Keys, name => Assert.Contains($"`{name}`", guide, StringComparison.Ordinal));
    }

    [Fact]
    public async Task Reasons_and_metrics_are_for_this_machine_only_and_not_for_the_pages()
    {
        serve.WeatherFails();
        await serve.StartAsync(listen: true);
        await serve.AdvanceAsync(4);
        await serve.WaitAsync(() => serve.Report.Troubles.Count > 0, "the trouble with the weather");
        Assert.Contains("no weather for Sorrel Bank", await TextAsync(serve.Watch, "/ready", HttpStatusCode.ServiceUnavailable), StringComparison.Ordinal);
        Assert.Equal("live\n", await TextAsync(serve.Watch, "/live", HttpStatusCode.OK));
        Assert.Equal("not ready\n", await TextAsync(serve.Pages, "/ready", HttpStatusCode.ServiceUnavailable));
        Assert.Equal("live\n", await TextAsync(serve.Pages, "/live", HttpStatusCode.OK));
        string page = await (await client.GetAsync(new Uri(serve.Pages, "/metrics"), TestContext.Current.CancellationToken)).Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.DoesNotContain("graftwatch_", page, StringComparison.Ordinal);

        // A proxy on this machine that were pointed at the wrong port gives nothing away either.
        client.DefaultRequestHeaders.Add("X-Forwarded-For", "203.0.113.9");
        await TextAsync(serve.Watch, "/metrics", HttpStatusCode.NotFound);
        Assert.Equal("not ready\n", await TextAsync(serve.Watch, "/ready", HttpStatusCode.ServiceUnavailable));
    }

    [Theory]
    [InlineData("localhost:8621", true)]
    [InlineData("LOCALHOST", true)]
    [InlineData("127.0.0.1:8621", true)]
    [InlineData("[::1]:8621", true)]
    [InlineData("rebound.example:8621", false)]
    [InlineData("localhost.rebound.example", false)]
    [InlineData("127.0.0.1.rebound.example", false)]
    [InlineData("192.0.2.7:8621", false)]
    public async Task Whoever_asks_by_the_name_of_another_machine_learns_no_reasons_and_no_metrics(string host, bool isOurs)
    {
        await serve.StartAsync(listen: true);
        client.DefaultRequestHeaders.Host = host;
        await TextAsync(serve.Watch, "/metrics", isOurs ? HttpStatusCode.OK : HttpStatusCode.NotFound);
        await TextAsync(serve.Watch, "/", isOurs ? HttpStatusCode.OK : HttpStatusCode.NotFound);
        Assert.Equal("live\n", await TextAsync(serve.Watch, "/live", HttpStatusCode.OK));
    }

    private static double Letters(IReadOnlyDictionary<string, ExpositionReader.Family> metrics, string became) =>
        metrics["graftwatch_letters_total"].Samples.Single(sample => sample.Labels["became"] == became && sample.Labels["kind"] == "morning" && sample.Labels["channel"] == "mail").Value;

    private async Task<IReadOnlyDictionary<string, ExpositionReader.Family>> MetricsAsync()
    {
        using HttpResponseMessage answer = await client.GetAsync(new Uri(serve.Watch, "/metrics"), TestContext.Current.CancellationToken);
        Assert.Equal("text/plain; version=0.0.4; charset=utf-8", answer.Content.Headers.ContentType?.ToString());
        string text = await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.DoesNotContain(Mara, text, StringComparison.Ordinal);
        return ExpositionReader.Read(text);
    }

    private async Task<string> TextAsync(Uri ear, string path, HttpStatusCode status)
    {
        using HttpResponseMessage answer = await client.GetAsync(new Uri(ear, path), TestContext.Current.CancellationToken);
        Assert.Equal(status, answer.StatusCode);
        return await answer.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
    }
}
