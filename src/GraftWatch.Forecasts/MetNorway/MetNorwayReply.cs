using System.Text.Json;
using GraftWatch.Forecasts.Quality;
using GraftWatch.Microclimate.Weather;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Forecasts.MetNorway;

/// <summary>What a reply of MET Norway's Locationforecast 2.0 holds.</summary>
/// <param name="Weather">Hours; null when <paramref name="Trouble"/> says why there are none.</param>
/// <param name="UpdatedAt">When the service made the forecast; null when not said.</param>
/// <param name="ElevationM">Height it is for. [m]; null when not said.</param>
/// <param name="Gaps">What is missing, one sentence each.</param>
/// <param name="Trouble">Why there is no weather; no full stop.</param>
public sealed record MetNorwayResult(HourlyWeather? Weather, Instant? UpdatedAt, double? ElevationM, IReadOnlyList<string> Gaps, string? Trouble);

/// <summary>Reads replies of Locationforecast 2.0 (compact and complete); never throws, whatever the bytes.</summary>
/// <remarks>
/// Its rain looks forward from the stamp and is moved to the hour's end. Its steps grow from one hour to six; instants between six-hourly rows are
/// derived by monotone cubic interpolation [FritschCarlson1980], drawn through the period's own lowest and highest temperature where given, and six-hour
/// rain is spread evenly. Overlapping periods of the hourly part are not added up.
/// </remarks>
public static class MetNorwayReply
{
    private const int MostHours = 24 * 16;

    private static readonly (string Name, WeatherQuantity Quantity, double Scale)[] Instants =
    [
        ("air_temperature", WeatherQuantity.AirC, 1),
        ("relative_humidity", WeatherQuantity.HumidityPct, 1),
        ("dew_point_temperature", WeatherQuantity.DewPointC, 1),
        ("wind_speed", WeatherQuantity.WindMPerS, 1),
        ("wind_speed_of_gust", WeatherQuantity.GustMPerS, 1),
        ("wind_from_direction", WeatherQuantity.WindFromDeg, 1),
        ("cloud_area_fraction", WeatherQuantity.CloudFrac, 0.01),
    ];

    /// <summary>Reads a reply.</summary>
    /// <param name="json">The bytes as they came.</param>
    /// <param name="name">What to call the reply in sentences.</param>
    /// <param name="startOfForecast">Hours that end at or before it count as analysed.</param>
    public static MetNorwayResult Parse(ReadOnlyMemory<byte> json, string name, Instant startOfForecast)
    {
        try
        {
            using var document = JsonDocument.Parse(json);
            return Read(document.RootElement, name, startOfForecast);
        }
        catch (JsonException)
        {
            return Failed(json.Span.TrimStart(" \t\r\n"u8).StartsWith("<"u8)
                ? $"{name} is a web page (HTML), not weather"
                : json.IsEmpty ? $"{name} is empty" : $"{name} is cut off or not valid JSON");
        }
    }

    private static MetNorwayResult Read(JsonElement root, string name, Instant startOfForecast)
    {
        var rows = new List<(Instant At, JsonElement Data)>();
        foreach (JsonElement row in root.At("properties", "timeseries").Items())
        {
            if (row.TextAt("time") is not { } text || InstantPattern.ExtendedIso.Parse(text) is not { Success: true } parsed || row.At("data") is not { } data)
            {
                return Failed($"{name} has a row without a time or without data");
            }

            Instant at = parsed.Value;
            if (at.ToUnixTimeSeconds() % 3600 != 0 || at.ToUnixTimeTicks() % NodaConstants.TicksPerSecond != 0 || (rows.Count > 0 && at <= rows[^1].At))
            {
                return Failed($"{name} has hours out of order, twice or off the full hour at {QuantityWords.Stamp(at)}");
            }

            rows.Add((at, data));
        }

        if (rows.Count < 2)
        {
            return Failed($"{name} holds no hours");
        }

        double spanHours = (rows[^1].At - rows[0].At).TotalHours;
        if (spanHours >= MostHours)
        {
            return Failed($"{name} spans more than {MostHours / 24} days");
        }

        var grid = new MetNorwayGrid(rows, (int)spanHours + 1, startOfForecast);
        foreach ((string column, WeatherQuantity quantity, double scale) in Instants)
        {
            grid.FillInstants(column, quantity, scale);
        }

        grid.FillRain();
        HourlyWeather weather = grid.Build();
        if (!weather.Has(WeatherQuantity.AirC))
        {
            return Failed($"{name} has no air temperature");
        }

        Instant? updated = root.TextAt("properties", "meta", "updated_at") is { } stamp && InstantPattern.ExtendedIso.Parse(stamp) is { Success: true } at2 ? at2.Value : null;
        double elevationM = root.At("geometry", "coordinates") is { ValueKind: JsonValueKind.Array } c && c.GetArrayLength() > 2 && c[2].ValueKind == JsonValueKind.Number && c[2].TryGetDouble(out double m)
            ? m
            : double.NaN;
        return new MetNorwayResult(weather, updated, double.IsFinite(elevationM) ? elevationM : null, [.. grid.Remarks, .. WeatherGaps.Of(weather)], null);
    }

    private static MetNorwayResult Failed(string trouble) => new(null, null, null, [], trouble);
}
