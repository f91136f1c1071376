using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Quality;

/// <summary>Says what a series lacks, as far as it matters to a graft.</summary>
public static class WeatherGaps
{
    // What the hazards are computed from. The rest is derived from these or only refines them.
    private static readonly WeatherQuantity[] Needed =
    [
        WeatherQuantity.AirC, WeatherQuantity.HumidityPct, WeatherQuantity.WindMPerS, WeatherQuantity.GustMPerS,
        WeatherQuantity.GlobalWPerM2, WeatherQuantity.PrecipitationMm, WeatherQuantity.CloudFrac, WeatherQuantity.SoilShallowC,
    ];

    /// <summary>One sentence for all that is wholly missing, one for each quantity that is missing in some hours.</summary>
    public static IReadOnlyList<string> Of(HourlyWeather weather)
    {
        var sentences = new List<string>();
        var absent = new List<string>();
        foreach (WeatherQuantity quantity in Needed)
        {
            if (weather.Has(quantity))
            {
                AddPartlyMissing(sentences, weather, quantity);
            }
            else if (quantity != WeatherQuantity.SoilShallowC || !weather.Has(WeatherQuantity.SoilDeepC))
            {
                absent.Add(QuantityWords.Name(quantity));
            }
        }

        if (absent.Count > 0)
        {
            sentences.Add($"Without {QuantityWords.List(absent)}.");
        }

        return sentences;
    }

    private static void AddPartlyMissing(List<string> sentences, HourlyWeather weather, WeatherQuantity quantity)
    {
        ReadOnlySpan<double> column = weather[quantity];
        int missing = 0, first = -1;
        for (int i = 0; i < column.Length; i++)
        {
            if (double.IsNaN(column[i]))
            {
                missing++;
                first = first < 0 ? i : first;
            }
        }

        if (missing > 0)
        {
            Instant at = weather.EndOf(first);
            sentences.Add($"{QuantityWords.Capital(QuantityWords.Name(quantity))} is missing in {missing} of {weather.Hours} hours, the first {QuantityWords.Stamp(at)}.");
        }
    }
}
