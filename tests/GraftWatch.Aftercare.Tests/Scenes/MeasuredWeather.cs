using System.Text.Json;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Testing;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Scenes;

/// <summary>Measured hours of the shared files, for tests of advice; the real reader of the source has its own tests.</summary>
internal static class MeasuredWeather
{
    private static readonly (string Column, WeatherQuantity Quantity, double Scale)[] Columns =
    [
        ("temperature_2m", WeatherQuantity.AirC, 1),
        ("relative_humidity_2m", WeatherQuantity.HumidityPct, 1),
        ("dew_point_2m", WeatherQuantity.DewPointC, 1),
        ("wind_speed_10m", WeatherQuantity.WindMPerS, 1),
        ("wind_gusts_10m", WeatherQuantity.GustMPerS, 1),
        ("shortwave_radiation", WeatherQuantity.GlobalWPerM2, 1),
        ("precipitation", WeatherQuantity.PrecipitationMm, 1),
        ("soil_temperature_6cm", WeatherQuantity.SoilShallowC, 1),
        ("soil_temperature_18cm", WeatherQuantity.SoilDeepC, 1),
    ];

    /// <summary>Reads one file; skips the test where it is absent.</summary>
    internal static (Place Place, HourlyWeather Hours) Read(string name, string zone)
    {
        using JsonDocument json = JsonDocument.Parse(File.ReadAllText(SharedData.PathOrSkip("weather/" + name)));
        JsonElement root = json.RootElement;
        JsonElement hourly = root.GetProperty("hourly");
        long[] times = [.. hourly.GetProperty("time").EnumerateArray().Select(time => time.GetInt64())];
        var builder = new HourlyWeather.Builder(Instant.FromUnixTimeSeconds(times[0]), times.Length);
        foreach ((string column, WeatherQuantity quantity, double scale) in Columns)
        {
            int hour = 0;
            foreach (JsonElement value in hourly.GetProperty(column).EnumerateArray())
            {
                builder.Set(quantity, hour++, value.ValueKind == JsonValueKind.Number ? value.GetDouble() * scale : double.NaN, WeatherOrigin.Measured);
            }
        }

        var site = new Site
        {
            LatitudeDeg = root.GetProperty("latitude").GetDouble(),
            LongitudeDeg = root.GetProperty("longitude").GetDouble(),
            ElevationM = root.GetProperty("elevation").GetDouble(),
        };
        return (new Place(name.Split('-')[0], site, DateTimeZoneProviders.Tzdb[zone]), builder.Build());
    }
}
