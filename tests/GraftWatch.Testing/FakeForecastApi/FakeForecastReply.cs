using System.Buffers;
using System.Buffers.Text;
using System.Globalization;
using System.Text;
using Microsoft.AspNetCore.Http;
using NodaTime;

namespace GraftWatch.Testing.FakeForecastApi;

/// <summary>Writes invented weather in the shape of the open forecast API, number for number as wide as the real one's.</summary>
public static class FakeForecastReply
{
    private static readonly Dictionary<string, (string Unit, int Decimals, Func<double, double, double> Value)> Columns = new(StringComparer.Ordinal)
    {
        ["temperature_2m"] = ("°C", 1, (place, sun) => 6 + place + (8 * sun)),
        ["relative_humidity_2m"] = ("%", 0, (place, sun) => 75 - (25 * sun) + place),
        ["dew_point_2m"] = ("°C", 1, (place, sun) => 2 + place + sun),
        ["cloud_cover"] = ("%", 0, (place, sun) => 50 + (10 * place * sun)),
        ["wind_speed_10m"] = ("m/s", 2, (place, sun) => 3 + (0.3 * place) + sun),
        ["wind_gusts_10m"] = ("m/s", 2, (place, sun) => 6 + place + sun),
        ["wind_direction_10m"] = ("°", 0, (place, sun) => 200 + (20 * place) + (9 * sun)),
        ["shortwave_radiation"] = ("W/m²", 1, (_, sun) => 800 * Math.Max(0, sun)),
        ["direct_radiation"] = ("W/m²", 1, (_, sun) => 550 * Math.Max(0, sun)),
        ["diffuse_radiation"] = ("W/m²", 1, (_, sun) => 250 * Math.Max(0, sun)),
        ["direct_normal_irradiance"] = ("W/m²", 1, (_, sun) => sun > 0 ? 700 : 0),
        ["precipitation"] = ("mm", 2, (place, sun) => Math.Max(0, place - 3 - sun)),
        ["snowfall"] = ("cm", 2, (_, _) => 0),
        ["soil_temperature_0cm"] = ("°C", 1, (place, sun) => 6 + place + (11 * sun)),
        ["soil_temperature_6cm"] = ("°C", 1, (place, sun) => 9 + place + (2 * sun)),
        ["soil_temperature_18cm"] = ("°C", 1, (place, _) => 9 + place),
        ["soil_moisture_3_to_9cm"] = ("m³/m³", 3, (place, _) => 0.28 + (0.005 * place)),
        ["et0_fao_evapotranspiration"] = ("mm", 2, (_, sun) => 0.4 * Math.Max(0, sun)),
        ["surface_pressure"] = ("hPa", 1, (place, sun) => 968 + place + sun),
    };

    /// <summary>What a request asks for.</summary>
    /// <param name="Places">Coordinates and heights as written.</param>
    /// <param name="Names">Columns.</param>
    /// <param name="FirstHour">First hour.</param>
    /// <param name="Hours">Number of hours.</param>
    public sealed record Asked(IReadOnlyList<(string Latitude, string Longitude, string Elevation)> Places, IReadOnlyList<string> Names, Instant FirstHour, int Hours);

    /// <summary>Reads a query; null where the service would find fault.</summary>
    public static Asked? Read(IQueryCollection query, Instant today)
    {
        string[] latitude = Split(query["latitude"]), longitude = Split(query["longitude"]), elevation = Split(query["elevation"]), names = Split(query["hourly"]);
        bool whole = int.TryParse(query["past_days"], NumberStyles.None, CultureInfo.InvariantCulture, out int past)
            & int.TryParse(query["forecast_days"], NumberStyles.None, CultureInfo.InvariantCulture, out int ahead);
        if (!whole || latitude.Length == 0 || latitude.Length != longitude.Length || latitude.Length != elevation.Length || latitude.Length > 1000
            || query["timezone"] != "GMT" || query["timeformat"] != "unixtime" || query["wind_speed_unit"] != "ms" || names.Any(n => !Columns.ContainsKey(n)))
        {
            return null;
        }

        Instant midnight = today.InUtc().Date.AtMidnight().InUtc().ToInstant();
        return new Asked([.. latitude.Select((l, i) => (l, longitude[i], elevation[i]))], names, midnight - Duration.FromDays(past), 24 * (past + ahead));
    }

    /// <summary>Writes the reply: an object for one place, a list for more.</summary>
    public static void Write(Asked asked, IBufferWriter<byte> json)
    {
        if (asked.Places.Count > 1)
        {
            json.Write("["u8);
        }

        for (int p = 0; p < asked.Places.Count; p++)
        {
            json.Write(p == 0 ? ""u8 : ","u8);
            WritePlace(asked, p, json);
        }

        if (asked.Places.Count > 1)
        {
            json.Write("]"u8);
        }
    }

    private static void WritePlace(Asked asked, int p, IBufferWriter<byte> json)
    {
        (string latitude, string longitude, string elevation) = asked.Places[p];
        string number = p == 0 ? string.Empty : string.Create(CultureInfo.InvariantCulture, $"\"location_id\":{p},");
        Text(json, $"{{\"latitude\":{latitude},\"longitude\":{longitude},\"generationtime_ms\":0.42,\"utc_offset_seconds\":0,\"timezone\":\"GMT\",\"timezone_abbreviation\":\"GMT\",\"elevation\":{elevation}.0,{number}\"hourly_units\":{{\"time\":\"unixtime\"");
        foreach (string name in asked.Names)
        {
            Text(json, $",\"{name}\":\"{Columns[name].Unit}\"");
        }

        Text(json, "},\"hourly\":{\"time\":");
        Numbers(json, asked.Hours, 0, h => asked.FirstHour.ToUnixTimeSeconds() + (3600.0 * h));
        double place = (double.Parse(latitude, CultureInfo.InvariantCulture) * 7.3 % 5) + (double.Parse(longitude, CultureInfo.InvariantCulture) * 3.1 % 3) / 2;
        foreach (string name in asked.Names)
        {
            (_, int decimals, Func<double, double, double> value) = Columns[name];
            Text(json, $",\"{name}\":");
            Numbers(json, asked.Hours, decimals, h => value(place, Math.Sin(2 * Math.PI * (h - 6) / 24.0) + (0.1 * Math.Sin(h))));
        }

        Text(json, "}}");
    }

    private static void Numbers(IBufferWriter<byte> json, int count, int decimals, Func<int, double> value)
    {
        json.Write("["u8);
        var format = new StandardFormat('F', (byte)decimals);
        Span<byte> digits = stackalloc byte[40];
        for (int h = 0; h < count; h++)
        {
            Utf8Formatter.TryFormat(value(h), digits, out int written, format);
            json.Write(h == 0 ? ""u8 : ","u8);
            json.Write(digits[..written]);
        }

        json.Write("]"u8);
    }

    private static void Text(IBufferWriter<byte> json, string text) => Encoding.UTF8.GetBytes(text, json);

    private static string[] Split(string? list) => string.IsNullOrEmpty(list) ? [] : list.Split(',');
}
