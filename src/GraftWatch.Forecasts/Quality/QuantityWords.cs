using GraftWatch.Microclimate.Weather;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Forecasts.Quality;

/// <summary>Weather quantities and hours in words, for sentences about gaps.</summary>
internal static class QuantityWords
{
    private static readonly InstantPattern Hour = InstantPattern.CreateWithInvariantCulture("uuuu-MM-dd HH:mm 'UTC'");

    public static IReadOnlyList<WeatherQuantity> All { get; } = Enum.GetValues<WeatherQuantity>();

    public static string Name(WeatherQuantity quantity) => quantity switch
    {
        WeatherQuantity.AirC => "air temperature",
        WeatherQuantity.HumidityPct => "humidity",
        WeatherQuantity.DewPointC => "dew point",
        WeatherQuantity.WindMPerS => "wind speed",
        WeatherQuantity.GustMPerS => "gusts",
        WeatherQuantity.WindFromDeg => "wind direction",
        WeatherQuantity.GlobalWPerM2 => "global radiation",
        WeatherQuantity.DirectHorizontalWPerM2 => "direct radiation",
        WeatherQuantity.DiffuseWPerM2 => "diffuse radiation",
        WeatherQuantity.DirectNormalWPerM2 => "direct normal radiation",
        WeatherQuantity.PrecipitationMm => "precipitation",
        WeatherQuantity.SnowfallCm => "snowfall",
        WeatherQuantity.CloudFrac => "cloud cover",
        WeatherQuantity.SkinC => "ground surface temperature",
        WeatherQuantity.SoilShallowC => "soil temperature near 6 cm",
        WeatherQuantity.SoilDeepC => "soil temperature near 18 cm",
        WeatherQuantity.SoilWaterM3PerM3 => "soil water",
        WeatherQuantity.ReferenceEtMm => "reference evapotranspiration",
        WeatherQuantity.PressureKPa => "air pressure",
        _ => quantity.ToString(),
    };

    public static string Stamp(Instant at) => Hour.Format(at);

    public static string Capital(string words) => char.ToUpperInvariant(words[0]) + words[1..];

    /// <summary>"a", "a and b", "a, b and c".</summary>
    public static string List(IReadOnlyList<string> words) => words.Count switch
    {
        0 => string.Empty,
        1 => words[0],
        _ => string.Join(", ", words.Take(words.Count - 1)) + " and " + words[^1],
    };
}
