using System.Text;
using System.Text.Json;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>One column name of the API and what it fills.</summary>
/// <param name="Name">Name on the wire.</param>
/// <param name="Quantity">What it fills.</param>
/// <param name="Measure">What kind of number it holds.</param>
/// <param name="Rank">0 is the column we ask for; higher ranks fill hours the lower ones leave empty.</param>
internal sealed record ReplyColumn(string Name, WeatherQuantity Quantity, ReplyMeasure Measure, int Rank)
{
    public byte[] NameUtf8 { get; } = Encoding.UTF8.GetBytes(Name);
}

/// <summary>The columns we understand: today's spellings, the older ones, and the archive's soil layers.</summary>
internal static class ReplyColumns
{
    private static readonly byte[] MemberMark = "_member"u8.ToArray();

    public static IReadOnlyList<ReplyColumn> All { get; } =
    [
        new("temperature_2m", WeatherQuantity.AirC, ReplyMeasure.Temperature, 0),
        new("relative_humidity_2m", WeatherQuantity.HumidityPct, ReplyMeasure.Percent, 0),
        new("relativehumidity_2m", WeatherQuantity.HumidityPct, ReplyMeasure.Percent, 1),
        new("dew_point_2m", WeatherQuantity.DewPointC, ReplyMeasure.Temperature, 0),
        new("dewpoint_2m", WeatherQuantity.DewPointC, ReplyMeasure.Temperature, 1),
        new("wind_speed_10m", WeatherQuantity.WindMPerS, ReplyMeasure.Speed, 0),
        new("windspeed_10m", WeatherQuantity.WindMPerS, ReplyMeasure.Speed, 1),
        new("wind_gusts_10m", WeatherQuantity.GustMPerS, ReplyMeasure.Speed, 0),
        new("windgusts_10m", WeatherQuantity.GustMPerS, ReplyMeasure.Speed, 1),
        new("wind_direction_10m", WeatherQuantity.WindFromDeg, ReplyMeasure.Direction, 0),
        new("winddirection_10m", WeatherQuantity.WindFromDeg, ReplyMeasure.Direction, 1),
        new("shortwave_radiation", WeatherQuantity.GlobalWPerM2, ReplyMeasure.Irradiance, 0),
        new("direct_radiation", WeatherQuantity.DirectHorizontalWPerM2, ReplyMeasure.Irradiance, 0),
        new("diffuse_radiation", WeatherQuantity.DiffuseWPerM2, ReplyMeasure.Irradiance, 0),
        new("direct_normal_irradiance", WeatherQuantity.DirectNormalWPerM2, ReplyMeasure.Irradiance, 0),
        new("precipitation", WeatherQuantity.PrecipitationMm, ReplyMeasure.WaterDepth, 0),
        new("snowfall", WeatherQuantity.SnowfallCm, ReplyMeasure.SnowDepth, 0),
        new("cloud_cover", WeatherQuantity.CloudFrac, ReplyMeasure.Fraction, 0),
        new("cloudcover", WeatherQuantity.CloudFrac, ReplyMeasure.Fraction, 1),
        new("soil_temperature_0cm", WeatherQuantity.SkinC, ReplyMeasure.Temperature, 0),
        new("surface_temperature", WeatherQuantity.SkinC, ReplyMeasure.Temperature, 1),
        new("soil_temperature_6cm", WeatherQuantity.SoilShallowC, ReplyMeasure.Temperature, 0),
        new("soil_temperature_0_to_7cm", WeatherQuantity.SoilShallowC, ReplyMeasure.Temperature, 1),
        new("soil_temperature_0_to_10cm", WeatherQuantity.SoilShallowC, ReplyMeasure.Temperature, 2),
        new("soil_temperature_18cm", WeatherQuantity.SoilDeepC, ReplyMeasure.Temperature, 0),
        new("soil_temperature_7_to_28cm", WeatherQuantity.SoilDeepC, ReplyMeasure.Temperature, 1),
        new("soil_temperature_10_to_40cm", WeatherQuantity.SoilDeepC, ReplyMeasure.Temperature, 2),
        new("soil_moisture_3_to_9cm", WeatherQuantity.SoilWaterM3PerM3, ReplyMeasure.SoilWater, 0),
        new("soil_moisture_0_to_7cm", WeatherQuantity.SoilWaterM3PerM3, ReplyMeasure.SoilWater, 1),
        new("soil_moisture_0_to_10cm", WeatherQuantity.SoilWaterM3PerM3, ReplyMeasure.SoilWater, 2),
        new("et0_fao_evapotranspiration", WeatherQuantity.ReferenceEtMm, ReplyMeasure.WaterDepth, 0),
        new("surface_pressure", WeatherQuantity.PressureKPa, ReplyMeasure.Pressure, 0),
    ];

    /// <summary>Names to ask the forecast endpoint for.</summary>
    public static IReadOnlyList<string> Wanted { get; } =
        [.. All.Where(c => c.Rank == 0).Select(c => c.Name)];

    /// <summary>Number of <see cref="All"/> entries for the lookup below, plus one for the time column.</summary>
    public const int TimeIndex = -1;

    /// <summary>Finds the column a property name means.</summary>
    /// <param name="reader">Stands on the property name.</param>
    /// <param name="index">Index in <see cref="All"/>, or <see cref="TimeIndex"/>.</param>
    /// <param name="member">Member of an ensemble; 0 for the control run and for plain forecasts.</param>
    /// <param name="suffixed">Set when the name is a known column followed by something else, as several models side by side write it.</param>
    public static bool TryFind(ref Utf8JsonReader reader, out int index, out int member, out bool suffixed)
    {
        member = 0;
        suffixed = false;
        if (reader.ValueTextEquals("time"u8))
        {
            index = TimeIndex;
            return true;
        }

        for (index = 0; index < All.Count; index++)
        {
            if (reader.ValueTextEquals(All[index].NameUtf8))
            {
                return true;
            }
        }

        return TryFindSuffixed(reader.ValueSpan, out index, out member, out suffixed);
    }

    private static bool TryFindSuffixed(ReadOnlySpan<byte> name, out int index, out int member, out bool suffixed)
    {
        member = 0;
        int mark = name.IndexOf(MemberMark);
        for (index = 0; index < All.Count; index++)
        {
            ReadOnlySpan<byte> known = All[index].NameUtf8;
            if (mark < 0 && name.Length > known.Length && name.StartsWith(known) && name[known.Length] == (byte)'_')
            {
                suffixed = true;
                return false;
            }

            if (mark > 0 && name[..mark].SequenceEqual(known))
            {
                suffixed = !System.Buffers.Text.Utf8Parser.TryParse(name[(mark + MemberMark.Length)..], out member, out int used)
                    || used + mark + MemberMark.Length != name.Length;
                return !suffixed && member is > 0 and <= 999;
            }
        }

        suffixed = false;
        return false;
    }
}
