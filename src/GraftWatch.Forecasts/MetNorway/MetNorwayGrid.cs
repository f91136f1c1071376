using System.Globalization;
using System.Text.Json;
using GraftWatch.Forecasts.Quality;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.MetNorway;

/// <summary>Brings rows of growing steps onto the hourly grid.</summary>
internal sealed class MetNorwayGrid(IReadOnlyList<(Instant At, JsonElement Data)> rows, int hours, Instant startOfForecast)
{
    // Between rows further apart than this nothing is made up.
    private const int LongestStep = 6;

    private readonly HourlyWeather.Builder builder = new(rows[0].At, hours);
    private readonly int pastHours = (int)Math.Clamp(Math.Floor((startOfForecast - rows[0].At).TotalHours) + 1, 0, hours);

    private readonly HashSet<int> rowHours = [.. rows.Select(r => (int)(r.At - rows[0].At).TotalHours)];

    /// <summary>Impossible values, one sentence each.</summary>
    public List<string> Remarks { get; } = [];

    public HourlyWeather Build() => builder.Build();

    public void FillInstants(string column, WeatherQuantity quantity, double scale)
    {
        var knots = new List<(int Hour, double Value)>();
        int impossible = 0;
        foreach ((Instant at, JsonElement data) in rows)
        {
            double value = scale * data.NumberAt("instant", "details", column);
            if (double.IsNaN(value))
            {
                continue;
            }

            if (!PhysicalRange.Holds(quantity, value))
            {
                impossible++;
                continue;
            }

            int hour = HourOf(at);
            knots.Add((hour, value));
            builder.Set(quantity, hour, value, OriginOf(hour));
        }

        if (impossible > 0)
        {
            Remarks.Add($"{QuantityWords.Capital(QuantityWords.Name(quantity))} is impossible in {impossible.ToString(CultureInfo.InvariantCulture)} hours and counts as missing there.");
        }

        // Directions go round, and the gust of an hour says nothing about the next five.
        if (quantity is not (WeatherQuantity.WindFromDeg or WeatherQuantity.GustMPerS))
        {
            FillBetween(quantity, quantity == WeatherQuantity.AirC ? WithExtremes(knots) : knots);
        }
    }

    /// <summary>Rain of the coming hour belongs to the hour that ends then; rain of six coming hours is spread where rows are six hours apart.</summary>
    public void FillRain()
    {
        for (int r = 0; r + 1 < rows.Count; r++)
        {
            int first = HourOf(rows[r].At) + 1, step = HourOf(rows[r + 1].At) - first + 1;
            double oneHourMm = rows[r].Data.NumberAt("next_1_hours", "details", "precipitation_amount");
            double sixHoursMm = rows[r].Data.NumberAt("next_6_hours", "details", "precipitation_amount");
            if (step == 1 && PhysicalRange.Holds(WeatherQuantity.PrecipitationMm, oneHourMm))
            {
                builder.Set(WeatherQuantity.PrecipitationMm, first, oneHourMm, OriginOf(first));
            }
            else if (step == LongestStep && PhysicalRange.Holds(WeatherQuantity.PrecipitationMm, sixHoursMm / LongestStep))
            {
                for (int h = 0; h < LongestStep; h++)
                {
                    builder.Set(WeatherQuantity.PrecipitationMm, first + h, sixHoursMm / LongestStep, WeatherOrigin.Derived);
                }
            }
        }
    }

    private void FillBetween(WeatherQuantity quantity, List<(int Hour, double Value)> knots)
    {
        if (knots.Count < 2)
        {
            return;
        }

        double[] slopes = MonotoneCubic.Slopes(knots);
        for (int k = 0; k + 1 < knots.Count; k++)
        {
            int step = knots[k + 1].Hour - knots[k].Hour;
            for (int h = 1; h < step && step <= LongestStep && !HasRowBetween(knots[k].Hour, knots[k + 1].Hour); h++)
            {
                builder.Set(quantity, knots[k].Hour + h, MonotoneCubic.At(knots, slopes, k, h), WeatherOrigin.Derived);
            }

            bool isExtreme = k > 0 && !rowHours.Contains(knots[k].Hour);
            if (isExtreme)
            {
                builder.Set(quantity, knots[k].Hour, knots[k].Value, WeatherOrigin.Derived);
            }
        }
    }

    /// <summary>Adds the lowest and highest temperature of six-hour periods as points of their own, two hours from the end of the period that is nearer to it.</summary>
    private List<(int Hour, double Value)> WithExtremes(List<(int Hour, double Value)> knots)
    {
        var all = new List<(int Hour, double Value)>(knots);
        foreach ((Instant at, JsonElement data) in rows)
        {
            int start = HourOf(at);
            int k = knots.FindIndex(x => x.Hour == start);
            if (k < 0 || k + 1 >= knots.Count || knots[k + 1].Hour - start != LongestStep)
            {
                continue;
            }

            double lowest = data.NumberAt("next_6_hours", "details", "air_temperature_min"), highest = data.NumberAt("next_6_hours", "details", "air_temperature_max");
            double left = knots[k].Value, right = knots[k + 1].Value;
            if (PhysicalRange.Holds(WeatherQuantity.AirC, lowest) && lowest < Math.Min(left, right))
            {
                all.Add((start + (left <= right ? 2 : 4), lowest));
            }

            if (PhysicalRange.Holds(WeatherQuantity.AirC, highest) && highest > Math.Max(left, right))
            {
                all.Add((start + (left > right ? 2 : 4), highest));
            }
        }

        all.Sort((a, b) => a.Hour.CompareTo(b.Hour));
        return all;
    }

    /// <summary>A row that stands there without the value says that it is not known.</summary>
    private bool HasRowBetween(int from, int to)
    {
        for (int hour = from + 1; hour < to; hour++)
        {
            if (rowHours.Contains(hour))
            {
                return true;
            }
        }

        return false;
    }

    private int HourOf(Instant at) => (int)(at - rows[0].At).TotalHours;

    private WeatherOrigin OriginOf(int hour) => hour < pastHours ? WeatherOrigin.Analysed : WeatherOrigin.Forecast;
}
