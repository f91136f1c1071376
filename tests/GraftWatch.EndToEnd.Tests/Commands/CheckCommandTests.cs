using GraftWatch.Testing;

namespace GraftWatch.EndToEnd.Tests.Commands;

public sealed class CheckCommandTests : IDisposable
{
    private readonly CommandRun run = new();

    public CheckCommandTests()
    {
        Directory.CreateDirectory(Path.Combine(run.Folder, "config"));
        run.Write("config/graftwatch.toml", Settings("127.0.0.1:9"));
        File.Copy(Repository.PathOf("src", "GraftWatch", "Demo", "register.csv"), Path.Combine(run.Folder, "config", "register.csv"));
    }

    public void Dispose() => run.Dispose();

    [Fact]
    public async Task What_does_not_answer_is_a_failure_with_a_way_to_mend_and_the_rest_is_still_checked()
    {
        Assert.Equal(1, await run.RunAsync("check"));
        Assert.Matches("(?m)^settings  fine ", run.Results);
        Assert.Matches("(?m)^clock     fine ", run.Results);
        Assert.Matches("(?m)^store     fine ", run.Results);
        Assert.Matches("(?m)^register  fine   Mara: 16 grafts, .* unions; next letter ", run.Results);
        Assert.Matches("(?m)^mail      look ", run.Results);
        Assert.Matches("(?m)^weather   failed ", run.Results);
    }

    [Fact]
    public async Task A_wrong_file_is_named_with_line_and_ends_with_two()
    {
        run.Write("config/graftwatch.toml", Settings("127.0.0.1:9").Replace("elevation = \"465 m\"", "elevation = \"465 parsecs\"", StringComparison.Ordinal));
        Assert.Equal(2, await run.RunAsync("check"));
        Assert.Matches("(?m)^settings  wrong .*graftwatch.toml:5:", run.Results);
    }

    [Fact]
    public async Task Every_threshold_in_force_is_printed_with_its_line()
    {
        Assert.Equal(0, await run.RunAsync("check", "--effective"));
        Assert.Matches(@"(?m)^heat\.cambium\.act +\S+ °C +.*thresholds\.toml.*:\d+", run.Results);
        Assert.Equal(0, await run.RunAsync("check", "--effective", "--graft", "D1-01"));
        Assert.Contains("D1-01: grape, cleft", run.Messages, StringComparison.Ordinal);
        Assert.Equal(1, run.Results.Split('\n').Count(line => line.StartsWith("heat.cambium.act ", StringComparison.Ordinal)));
        Assert.Equal(2, await run.RunAsync("check", "--effective", "--graft", "X-1"));
    }

    private static string Settings(string weather) =>
        $"""
        [[place]]
        name = "Sorrel Bank"
        latitude = 48.02
        longitude = 9.06
        elevation = "465 m"
        zone = "Europe/Berlin"

        [[grower]]
        name = "Mara"
        address = "mara@sorrelbank.example"
        register = "register.csv"

        [weather]
        address = "http://{weather}"
        """;
}
