using System.Globalization;
using System.Text;
using CsCheck;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Forecasts.Tests.OpenForecast;

public sealed class SavedReplyPermutationTests
{
    private static readonly (string Name, string Unit, WeatherQuantity Quantity, double Scale)[] Columns =
    [
        ("temperature_2m", "°C", WeatherQuantity.AirC, 1),
        ("relative_humidity_2m", "%", WeatherQuantity.HumidityPct, 1),
        ("wind_speed_10m", "km/h", WeatherQuantity.WindMPerS, 1 / 3.6),
        ("cloud_cover", "%", WeatherQuantity.CloudFrac, 0.01),
        ("soil_temperature_6cm", "°C", WeatherQuantity.SoilShallowC, 1),
        ("shortwave_radiation", "W/m²", WeatherQuantity.GlobalWPerM2, 1),
    ];

    /// <summary>Any order of blocks and columns, unix or ISO stamps, left-out hours, any cells null: each number comes back in its hour or as a gap, and no other number comes.</summary>
    [Fact]
    public void Any_permutation_of_a_valid_reply_with_null_cells_is_read_and_no_number_is_invented()
    {
        Gen<double?> cell = Gen.OneOf(Gen.Int[0, 500].Select(i => (double?)(i / 10.0)), Gen.Const(0).Select(_ => (double?)null));
        Gen<(int Step, double?[] Cells)> row = Gen.Select(Gen.Int[1, 3], cell.Array[Columns.Length]);
        Gen.Select(row.Array[1, 60], Gen.Shuffle(Enumerable.Range(0, Columns.Length).ToArray()), Gen.Int[0, 3], Gen.Bool, Gen.Int[-11, 12]).Sample(
            (rows, order, layout, iso, offset) =>
            {
                string json = Write(rows, order, layout, iso, offset);
                SavedReplyResult result = SavedReply.Parse(Encoding.UTF8.GetBytes(json), "reply", null);
                return rows.All(r => r.Cells.All(c => c is null))
                    ? result.Faults.Count == 1
                    : result.IsUsable && Same(result.Locations[0].Weather!, rows);
            },
            iter: 3_000);
    }

    private static bool Same(HourlyWeather weather, (int Step, double?[] Cells)[] rows)
    {
        int hour = -rows[0].Step, known = 0;
        foreach ((int step, double?[] cells) in rows)
        {
            hour += step;
            for (int c = 0; c < Columns.Length; c++)
            {
                double want = cells[c] is { } written ? Columns[c].Scale * written : double.NaN;
                known += double.IsNaN(want) ? 0 : 1;
                if (!weather[Columns[c].Quantity][hour].Equals(want))
                {
                    return false;
                }
            }
        }

        return known == Enum.GetValues<WeatherQuantity>().Sum(q => weather[q].ToArray().Count(double.IsFinite));
    }

    private static string Write((int Step, double?[] Cells)[] rows, int[] order, int layout, bool iso, int offsetHours)
    {
        long at = 1776823200 - (3600 * rows[0].Step);
        var times = new List<string>();
        foreach ((int step, _) in rows)
        {
            at += 3600 * step;
            times.Add(iso
                ? "\"" + DateTimeOffset.FromUnixTimeSeconds(at + (3600 * offsetHours)).ToString("yyyy-MM-dd'T'HH:mm", CultureInfo.InvariantCulture) + "\""
                : at.ToString(CultureInfo.InvariantCulture));
        }

        string blank = layout % 2 == 0 ? string.Empty : "\n  ";
        string Column(int c) => $"\"{Columns[c].Name}\":[{string.Join("," + blank, rows.Select(r => r.Cells[c]?.ToString("R", CultureInfo.InvariantCulture) ?? "null"))}]";
        string time = $"\"time\":[{string.Join("," + blank, times)}]";
        string units = "\"hourly_units\":{" + string.Join(',', order.Select(c => $"\"{Columns[c].Name}\":\"{Columns[c].Unit}\"")) + "}";
        string[] columns = [.. order.Select(Column)];
        string hourly = "\"hourly\":{" + string.Join("," + blank, layout < 2 ? [time, .. columns] : [.. columns, time]) + "}";
        string head = string.Create(CultureInfo.InvariantCulture, $"\"utc_offset_seconds\":{3600 * offsetHours},\"current\":{{\"time\":1}}");
        return "{" + string.Join(',', layout == 1 ? [hourly, head, units] : layout == 2 ? [units, hourly, head] : (string[])[head, units, hourly]) + "}";
    }
}
