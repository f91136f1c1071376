using System.Text;
using GraftWatch.Testing;

namespace GraftWatch.EndToEnd.Tests.Commands;

public sealed class BadInputTests : IDisposable
{
    private const string Header = "label,place,species,technique,made,aspect\n";
    private const string GoodRow = "A-1,home,apple,whip-and-tongue,2026-04-02,S\n";
    private static readonly string Weather = Repository.PathOf("src", "GraftWatch", "Demo", "weather.json");
    private readonly CommandRun run = new();

    public void Dispose() => run.Dispose();

    [Theory]
    [InlineData("label,place,specis,technique,made,aspect\n" + GoodRow, "specis", "species")]
    [InlineData(Header + "A-1,home,aple,whip-and-tongue,2026-04-02,S\n", "species", "apple")]
    [InlineData(Header + "A-1,home,apple,whip-and-tongue,2026-04-02,400\n", "aspect", "360")]
    [InlineData(Header + "A-1,home,apple,whip-and-tongue,2026-06-02,S\n", "made", "2026-06-02")]
    [InlineData(Header + GoodRow + GoodRow, "label", "A-1")]
    [InlineData("label,place,species,technique,made,aspect,height_m\nA-1,home,apple,whip-and-tongue,2026-04-02,S,\"0,25\"\n", "height_m", "0.25")]
    [InlineData(Header + "A-1,home,apple,glueing,2026-04-02,S\n", "technique", "glueing")]
    [InlineData(Header + "A-1,home,apple,whip-and-tongue,02.04.2026,S\n", "made", "02.04.2026")]
    [InlineData("", "grafts.csv", "empty")]
    [InlineData(Header, "grafts.csv", "The register has no grafts")]
    public async Task A_wrong_register_is_refused_whole_with_the_line_the_column_and_what_was_expected(string csv, string named, string hint)
    {
        run.Write("grafts.csv", csv);
        Assert.Equal(2, await RoundAsync(Weather));
        Assert.Contains(named, run.Messages, StringComparison.OrdinalIgnoreCase);
        Assert.Contains(hint, run.Messages, StringComparison.OrdinalIgnoreCase);
        Assert.Empty(run.Results);
        Assert.Contains("nothing was done", run.Messages, StringComparison.Ordinal);
    }

    [Fact]
    public async Task All_faults_of_register_and_weather_are_listed_at_once()
    {
        run.Write("grafts.csv", Header + "A-1,home,aple,glueing,2026-04-02,S\nA-1,home,apple,cleft,2026-04-02,999\n");
        run.Write("weather.json", "{\"error\":true,\"reason\":\"Latitude must be in range of -90 to 90°. Given: 480.0.\"}");
        Assert.Equal(2, await RoundAsync("weather.json"));
        foreach (string part in new[] { "grafts.csv:2", "species", "technique", "grafts.csv:3", "aspect", "label", "weather.json", "Latitude must be" })
        {
            Assert.Contains(part, run.Messages, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task A_folder_in_place_of_a_file_is_called_a_folder()
    {
        run.Write("grafts.csv", Header + GoodRow);
        Assert.Equal(2, await RoundAsync("."));
        Assert.Contains("This is a folder", run.Messages, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_letter_that_cannot_be_sent_is_refused_before_it_is_printed()
    {
        run.Write("grafts.csv", Header + GoodRow);
        Assert.Equal(2, await run.RunAsync("round", "--weather", Weather, "--grafts", "grafts.csv", "--date", "2026-05-12", "--send"));
        Assert.Contains("--send needs an installation", run.Messages, StringComparison.Ordinal);
        Assert.Empty(run.Results);
    }

    [Fact]
    public async Task A_byte_order_mark_and_windows_line_ends_are_no_fault()
    {
        run.Write("grafts.csv", [.. Encoding.UTF8.Preamble, .. Encoding.UTF8.GetBytes((Header + GoodRow).Replace("\n", "\r\n", StringComparison.Ordinal))]);
        Assert.True(await RoundAsync(Weather) == 0, run.Messages);
    }

    [Fact]
    public async Task Ten_thousand_rows_are_no_fault()
    {
        var csv = new StringBuilder(Header);
        for (int row = 0; row < 10_000; row++)
        {
            csv.Append("A-").Append(row).Append(",home,apple,whip-and-tongue,2026-04-02,").Append(row % 8 * 45).Append('\n');
        }

        run.Write("grafts.csv", csv.ToString());
        Assert.True(await RoundAsync(Weather) == 0, run.Messages);
        Assert.Contains("10,000", run.Results.Replace("10 000", "10,000", StringComparison.Ordinal).Replace("10000", "10,000", StringComparison.Ordinal), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("", "empty")]
    [InlineData("<html><title>502 Bad Gateway</title></html>", "HTML")]
    [InlineData("{\"latitude\":48.0,\"longitude\":9.0,\"hourly\":{\"time\":[", "weather.json")]
    [InlineData("{\"latitude\":48.0,\"longitude\":9.0,\"hourly_units\":{\"temperature_2m\":\"°C\"},\"hourly\":{\"time\":[\"2026-05-12T00:00\",\"2026-05-12T01:00\"],\"temperature_2m\":[1]}}", "temperature_2m")]
    [InlineData("{\"latitude\":48.0,\"longitude\":9.0,\"hourly_units\":{\"temperature_2m\":\"°C\"},\"hourly\":{\"time\":[\"2026-05-12T01:00\",\"2026-05-12T00:00\"],\"temperature_2m\":[1,2]}}", "weather.json")]
    [InlineData("{\"latitude\":48.0,\"longitude\":9.0,\"hourly_units\":{\"temperature_2m\":\"°C\"},\"hourly\":{\"time\":[\"2026-05-12T00:00\",\"2026-05-12T00:00\"],\"temperature_2m\":[1,2]}}", "weather.json")]
    [InlineData("{\"latitude\":48.0,\"longitude\":9.0,\"hourly_units\":{\"temperature_2m\":\"°C\"},\"hourly\":{\"time\":[\"2026-05-12T00:00\",\"2026-05-12T01:00\"],\"temperature_2m\":[null,null]}}", "missing")]
    [InlineData("[]", "weather.json")]
    [InlineData("42", "weather.json")]
    public async Task A_broken_reply_is_refused_with_a_sentence(string reply, string hint)
    {
        run.Write("grafts.csv", Header + GoodRow);
        run.Write("weather.json", reply);
        Assert.Equal(2, await RoundAsync("weather.json"));
        Assert.Contains(hint, run.Messages, StringComparison.OrdinalIgnoreCase);
        Assert.Empty(run.Results);
    }

    [Theory]
    [InlineData("round", "--weather", "no.json", "--grafts", "no.csv")]
    [InlineData("round", "--date", "14.5.2026")]
    [InlineData("round", "--zone", "Europe/Atlantis")]
    [InlineData("round", "--units", "imperial")]
    [InlineData("round", "--colour")]
    [InlineData("round")]
    [InlineData("serve", "--config", "nowhere")]
    [InlineData("check", "--config", "nowhere")]
    [InlineData("demonstrate")]
    public async Task A_command_line_that_is_not_understood_ends_with_two_and_says_why(params string[] arguments)
    {
        Assert.Equal(2, await run.RunAsync(arguments));
        Assert.NotEmpty(run.Messages);
        Assert.Empty(run.Results);
        Assert.DoesNotContain("Exception", run.Messages, StringComparison.Ordinal);
    }

    private Task<int> RoundAsync(string weather) =>
        run.RunAsync("round", "--weather", weather, "--grafts", "grafts.csv", "--date", "2026-05-12", "--zone", "Europe/Berlin");
}
