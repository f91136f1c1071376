using GraftWatch.Forecasts;
using GraftWatch.Settings.Installation;
using GraftWatch.Testing.Mail;

namespace GraftWatch.EndToEnd.Tests.Serving;

public sealed class SourceOrderTests
{
    private const string BeforeTheLetter = "2026-05-12T03:10:00Z";
    private const string Contact = "contact = \"mara@sorrelbank.example\"";

    [Fact]
    public void Settings_and_sources_know_the_same_words() => Assert.Equal(WeatherSetup.SourceWords, WeatherSettings.SourceWords);

    [Fact]
    public async Task When_the_first_source_is_dead_the_second_carries_the_letter_which_names_it_and_says_why()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        serve.WriteSettings(serve.Mail.Port, weather: $"sources = [\"open-meteo\", \"met-norway\"]\n{Contact}");
        serve.WeatherFails();
        serve.MetNorwayAnswers();
        await serve.StartAsync();
        await serve.AdvanceAsync(25);
        string text = await TextAsync(serve);
        Assert.Contains("Sorrel Bank: MET Norway,", text, StringComparison.Ordinal);
        Assert.Contains("MET Norway is used, for others failed: Open-Meteo:", text, StringComparison.Ordinal);
        Assert.Contains("MET Norway (", text, StringComparison.Ordinal);
        Assert.DoesNotContain("Weather data by Open-Meteo", text, StringComparison.Ordinal);
        Assert.Contains(serve.Weather.LogEntries, entry => entry.RequestMessage?.Headers?["User-Agent"].Any(agent => agent.EndsWith("mara@sorrelbank.example", StringComparison.Ordinal)) == true);
    }

    [Fact]
    public async Task A_place_with_an_order_of_its_own_asks_its_own_first_and_nobody_else()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        serve.WriteSettings(serve.Mail.Port, place: "sources = [\"met-norway\", \"open-meteo\"]", weather: Contact);
        serve.MetNorwayAnswers();
        await serve.StartAsync();
        await serve.AdvanceAsync(25);
        string text = await TextAsync(serve);
        Assert.Contains("Sorrel Bank: MET Norway,", text, StringComparison.Ordinal);
        Assert.DoesNotContain("for others failed", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_station_file_that_is_not_there_is_told_in_the_letter_and_one_that_is_there_is_read()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        serve.WriteSettings(serve.Mail.Port, place: "station = { file = \"station.csv\" }");
        await serve.StartAsync();
        await serve.AdvanceAsync(22);
        Assert.Contains("of Sorrel Bank is not there", await TextAsync(serve), StringComparison.Ordinal);

        await serve.StopAsync();
        serve.Clock.Advance(TimeSpan.FromHours(23.5));
        serve.WriteStation("time,air_c,furlongs\n2026-05-13T01:00Z,warm,1\n2026-05-13T02:00Z,4.5,1\n");
        await serve.StartAsync();
        await serve.AdvanceAsync(32);
        string second = await TextAsync(serve, 2);
        Assert.Contains("station.csv", second, StringComparison.Ordinal);
        Assert.DoesNotContain("is not there", second, StringComparison.Ordinal);
    }

    private static async Task<string> TextAsync(ServeHarness serve, int number = 1)
    {
        ReceivedLetter letter = await serve.LetterAsync(number);
        return string.Join(' ', letter.Parse().TextBody!.Split([' ', '\r', '\n'], StringSplitOptions.RemoveEmptyEntries));
    }
}
