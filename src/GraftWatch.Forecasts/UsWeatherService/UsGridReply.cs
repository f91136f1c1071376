using System.Text.Json;
using GraftWatch.Forecasts.Quality;
using GraftWatch.Microclimate.Weather;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Forecasts.UsWeatherService;

/// <summary>What a grid of the US National Weather Service holds.</summary>
/// <param name="Weather">Hours; null when <paramref name="Trouble"/> says why there are none.</param>
/// <param name="UpdatedAt">When the office made the forecast; null when not said.</param>
/// <param name="ElevationM">Height of the grid cell. [m]; null when not said.</param>
/// <param name="Gaps">What is missing, one sentence each.</param>
/// <param name="Trouble">Why there is no weather; no full stop.</param>
public sealed record UsGridResult(HourlyWeather? Weather, Instant? UpdatedAt, double? ElevationM, IReadOnlyList<string> Gaps, string? Trouble);

/// <summary>Reads gridpoint data of the US National Weather Service; never throws, whatever the bytes.</summary>
/// <remarks>
/// Each layer has its own intervals. A value that holds for several hours is the value of each of them; amounts of rain and snow are totals of their
/// interval and are spread over it. Temperatures come in whole degrees Fahrenheit and winds in whole knots, converted by the service.
/// </remarks>
public static class UsGridReply
{
    private const int MostHours = 24 * 20;

    private static readonly Layer[] Layers =
    [
        new("temperature", WeatherQuantity.AirC, Kind.Instant),
        new("dewpoint", WeatherQuantity.DewPointC, Kind.Instant),
        new("relativeHumidity", WeatherQuantity.HumidityPct, Kind.Instant),
        new("skyCover", WeatherQuantity.CloudFrac, Kind.Instant),
        new("windSpeed", WeatherQuantity.WindMPerS, Kind.Instant),
        new("windDirection", WeatherQuantity.WindFromDeg, Kind.Instant),
        new("windGust", WeatherQuantity.GustMPerS, Kind.Following),
        new("quantitativePrecipitation", WeatherQuantity.PrecipitationMm, Kind.Total),
        new("snowfallAmount", WeatherQuantity.SnowfallCm, Kind.Total),
    ];

    private enum Kind
    {
        /// <summary>Holds at each stamp of the interval.</summary>
        Instant,

        /// <summary>Holds over each hour of the interval.</summary>
        Following,

        /// <summary>Sum over the interval.</summary>
        Total,
    }

    /// <summary>Reads a grid.</summary>
    /// <param name="json">The bytes as they came.</param>
    /// <param name="name">What to call the reply in sentences.</param>
    /// <param name="startOfForecast">Hours that end at or before it count as analysed.</param>
    public static UsGridResult Parse(ReadOnlyMemory<byte> json, string name, Instant startOfForecast)
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

    private static UsGridResult Read(JsonElement root, string name, Instant startOfForecast)
    {
        if (root.At("properties") is not { ValueKind: JsonValueKind.Object } properties)
        {
            return Failed($"{name} holds no forecast grid");
        }

        var spans = new List<(Layer Layer, Interval Span, double Value)>();
        int unread = 0;
        foreach (Layer layer in Layers)
        {
            double scale = Scale(layer.Quantity, properties.TextAt(layer.Name, "uom"), out double offset);
            foreach (JsonElement entry in properties.At(layer.Name, "values").Items())
            {
                double value = (scale * entry.NumberAt("value")) + offset;
                if (double.IsNaN(value))
                {
                    continue;
                }

                if (ValidTime(entry.TextAt("validTime")) is { } span)
                {
                    spans.Add((layer, span, value));
                }
                else
                {
                    unread++;
                }
            }
        }

        if (!spans.Exists(s => s.Layer.Quantity == WeatherQuantity.AirC))
        {
            return Failed($"{name} has no temperatures");
        }

        Instant first = spans.Min(s => s.Span.Start), last = spans.Max(s => s.Span.End);
        if ((last - first).TotalHours >= MostHours)
        {
            return Failed($"{name} spans more than {MostHours / 24} days");
        }

        (HourlyWeather weather, List<string> remarks) = Fill(spans, first, last, startOfForecast);
        if (unread > 0)
        {
            remarks.Add($"{unread} values of {name} have a time that cannot be read and are left out.");
        }

        double elevationM = properties.NumberAt("elevation", "value");
        Instant? updated = properties.TextAt("updateTime") is { } text && OffsetDateTimePattern.ExtendedIso.Parse(text) is { Success: true } at ? at.Value.ToInstant() : null;
        return new UsGridResult(weather, updated, double.IsFinite(elevationM) ? elevationM : null, [.. remarks, .. WeatherGaps.Of(weather)], null);
    }

    private static (HourlyWeather Weather, List<string> Remarks) Fill(
        List<(Layer Layer, Interval Span, double Value)> spans, Instant first, Instant last, Instant startOfForecast)
    {
        var builder = new HourlyWeather.Builder(first, (int)(last - first).TotalHours + 1);
        var impossible = new SortedDictionary<WeatherQuantity, int>();
        foreach ((Layer layer, Interval span, double value) in spans)
        {
            int start = (int)(span.Start - first).TotalHours, length = (int)span.Duration.TotalHours;
            int shift = layer.Kind == Kind.Instant ? 0 : 1;
            double each = layer.Kind == Kind.Total ? value / length : value;
            if (!PhysicalRange.Holds(layer.Quantity, each))
            {
                impossible[layer.Quantity] = impossible.GetValueOrDefault(layer.Quantity) + length;
                continue;
            }

            for (int h = 0; h < length; h++)
            {
                WeatherOrigin origin = layer.Kind == Kind.Total && length > 1 ? WeatherOrigin.Derived
                    : first + Duration.FromHours(start + h + shift) <= startOfForecast ? WeatherOrigin.Analysed : WeatherOrigin.Forecast;
                builder.Set(layer.Quantity, start + h + shift, each, origin);
            }
        }

        return (builder.Build(),
            [.. impossible.Select(i => $"{QuantityWords.Capital(QuantityWords.Name(i.Key))} is impossible in {i.Value} hours and counts as missing there.")]);
    }

    /// <summary>An ISO 8601 interval, start and duration; null unless both are whole hours and it is no longer than the grid.</summary>
    internal static Interval? ValidTime(string? text)
    {
        int slash = text?.IndexOf('/') ?? -1;
        if (slash < 0
            || OffsetDateTimePattern.ExtendedIso.Parse(text![..slash]) is not { Success: true } start
            || PeriodPattern.Roundtrip.Parse(text[(slash + 1)..]) is not { Success: true } period
            || period.Value.Years != 0 || period.Value.Months != 0
            || Math.Abs(period.Value.Weeks) > 3 || Math.Abs(period.Value.Days) > 20 || Math.Abs(period.Value.Hours) > MostHours || Math.Abs(period.Value.Minutes) > 60 * MostHours)
        {
            return null;
        }

        Instant from = start.Value.ToInstant();
        Duration length = Duration.FromHours((24 * ((7 * period.Value.Weeks) + period.Value.Days)) + period.Value.Hours) + Duration.FromMinutes(period.Value.Minutes);
        bool whole = from.ToUnixTimeTicks() % NodaConstants.TicksPerHour == 0 && length >= Duration.FromHours(1) && length.TotalHours == Math.Floor(length.TotalHours);
        return whole && length.TotalHours < MostHours && period.Value is { Seconds: 0, Milliseconds: 0, Ticks: 0, Nanoseconds: 0 } ? new Interval(from, from + length) : null;
    }

    private static double Scale(WeatherQuantity quantity, string? unit, out double offset)
    {
        offset = 0;
        string code = unit is null ? string.Empty : unit[(unit.IndexOf(':') + 1)..];
        switch (quantity, code)
        {
            case (WeatherQuantity.AirC or WeatherQuantity.DewPointC, "degC"):
            case (WeatherQuantity.HumidityPct, "percent"):
            case (WeatherQuantity.WindMPerS or WeatherQuantity.GustMPerS, "m_s-1"):
            case (WeatherQuantity.WindFromDeg, "degree_(angle)"):
            case (WeatherQuantity.PrecipitationMm, "mm"):
                return 1;
            case (WeatherQuantity.AirC or WeatherQuantity.DewPointC, "degF"):
                offset = -160.0 / 9.0;
                return 5.0 / 9.0;
            case (WeatherQuantity.CloudFrac, "percent"):
                return 0.01;
            case (WeatherQuantity.WindMPerS or WeatherQuantity.GustMPerS, "km_h-1"):
                return 1 / 3.6;
            case (WeatherQuantity.SnowfallCm, "mm"):
                return 0.1;
            default:
                // A unit nobody expects makes every value of the layer missing.
                return double.NaN;
        }
    }

    private static UsGridResult Failed(string trouble) => new(null, null, null, [], trouble);

    private sealed record Layer(string Name, WeatherQuantity Quantity, Kind Kind);
}
