using System.Globalization;
using GraftWatch.Forecasts.Quality;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>Collects what is missing and says it in sentences.</summary>
internal sealed class GapNotes
{
    private readonly List<string> sentences = [];
    private readonly Dictionary<WeatherQuantity, (int Count, double Example, Instant At)> outOfRange = [];

    public void UnitUnknown(string column, ReplyUnit unit) => sentences.Add(unit == ReplyUnit.NotGiven
        ? $"The column {column} comes without a unit and is not used."
        : $"The column {column} comes in a unit I do not know and is not used.");

    public void OutOfRange(WeatherQuantity quantity, double value, Instant at)
    {
        (int count, double example, Instant first) = outOfRange.GetValueOrDefault(quantity, (0, value, at));
        outOfRange[quantity] = (count + 1, example, first);
    }

    public void AddLeftOutHours(HourlyWeather weather, int[] hours)
    {
        int missing = weather.Hours - hours.Length;
        if (missing == 0)
        {
            return;
        }

        int i = 1;
        while (hours[i] == hours[i - 1] + 1)
        {
            i++;
        }

        sentences.Add($"{missing} of {weather.Hours} hours are left out, the first {QuantityWords.Stamp(weather.EndOf(hours[i - 1] + 1))}.");
    }

    public IReadOnlyList<string> Sentences(HourlyWeather weather)
    {
        foreach ((WeatherQuantity quantity, (int count, double example, Instant at)) in outOfRange.OrderBy(o => o.Key))
        {
            sentences.Add(string.Create(
                CultureInfo.InvariantCulture,
                $"{QuantityWords.Capital(QuantityWords.Name(quantity))} is impossible in {Hours(count)} ({example:0.##} at {QuantityWords.Stamp(at)}) and counts as missing there."));
        }

        return [.. sentences, .. WeatherGaps.Of(weather)];
    }

    private static string Hours(int count) => count == 1 ? "one hour" : $"{count} hours";
}
