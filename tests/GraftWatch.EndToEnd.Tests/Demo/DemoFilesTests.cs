using System.Text.Json;
using GraftWatch.Testing;

namespace GraftWatch.EndToEnd.Tests.Demo;

public sealed class DemoFilesTests
{
    private static readonly string WeatherPath = Repository.PathOf("src", "GraftWatch", "Demo", "weather.json");

    [Fact]
    public void The_weather_of_the_demonstration_is_what_its_generator_makes()
    {
        string made = InventedWeather.Json();
        if (Environment.GetEnvironmentVariable("GRAFTWATCH_WRITE_DEMO") == "1")
        {
            File.WriteAllText(WeatherPath, made);
        }

        Assert.Equal(made, File.ReadAllText(WeatherPath).Replace("\r\n", "\n", StringComparison.Ordinal));
    }

    [Fact]
    public void The_weather_of_the_demonstration_says_that_it_is_invented()
    {
        using JsonDocument reply = JsonDocument.Parse(File.ReadAllText(WeatherPath));
        Assert.Contains("Invented", reply.RootElement.GetProperty("_note").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public void The_week_of_the_demonstration_has_a_hot_day_a_gale_and_a_frost_night()
    {
        using JsonDocument reply = JsonDocument.Parse(File.ReadAllText(WeatherPath));
        JsonElement hourly = reply.RootElement.GetProperty("hourly");
        string[] times = [.. hourly.GetProperty("time").EnumerateArray().Select(t => t.GetString()!)];
        double[] Week(string column) =>
        [
            .. hourly.GetProperty(column).EnumerateArray().Select(v => v.GetDouble())
                .Where((_, i) => string.CompareOrdinal(times[i], "2026-05-12") >= 0 && string.CompareOrdinal(times[i], "2026-05-19") < 0),
        ];
        Assert.InRange(Week("temperature_2m").Max(), 28, 33);
        Assert.InRange(Week("temperature_2m").Min(), -4, -1);
        Assert.InRange(Week("wind_gusts_10m").Max(), 20, 30);
    }
}
