using System.Globalization;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Joining;

/// <summary>How far two sources are apart over the coming hours.</summary>
/// <param name="LowestAirK">Difference of the lowest air temperatures, second minus first. [K]</param>
/// <param name="HighestAirK">Difference of the highest air temperatures. [K]</param>
/// <param name="StrongestWindMPerS">Difference of the strongest mean winds. [m/s]</param>
/// <param name="RainMm">Difference of the rain sums. [mm]</param>
/// <param name="Hours">Hours both sources have an air temperature for. [h]; with none, all differences are NaN.</param>
public sealed record WeatherSpread(double LowestAirK, double HighestAirK, double StrongestWindMPerS, double RainMm, int Hours)
{
    /// <summary>Compares two series over the hours that end in (<paramref name="from"/>, <paramref name="to"/>].</summary>
    public static WeatherSpread Between(HourlyWeather first, HourlyWeather second, Instant from, Instant to)
    {
        var sides = new (double Low, double High, double Wind, double Rain)[] { (double.NaN, double.NaN, double.NaN, 0), (double.NaN, double.NaN, double.NaN, 0) };
        int hours = 0;
        for (Instant end = first.FirstHourEnd; end <= first.LastHourEnd && end <= to; end += Duration.FromHours(1))
        {
            int a = first.IndexOf(end), b = second.IndexOf(end);
            if (end <= from || b < 0 || b >= second.Hours || double.IsNaN(first[WeatherQuantity.AirC][a]) || double.IsNaN(second[WeatherQuantity.AirC][b]))
            {
                continue;
            }

            hours++;
            Add(ref sides[0], first, a);
            Add(ref sides[1], second, b);
        }

        return new WeatherSpread(
            sides[1].Low - sides[0].Low, sides[1].High - sides[0].High, sides[1].Wind - sides[0].Wind, hours == 0 ? double.NaN : sides[1].Rain - sides[0].Rain, hours);
    }

    /// <summary>Says where the two differ by more than is usual; null when they agree.</summary>
    /// <param name="first">Name of the source that is used.</param>
    /// <param name="second">Name of the other.</param>
    /// <param name="limits">What counts as far apart.</param>
    public string? Sentence(string first, string second, SpreadLimits limits)
    {
        var parts = new List<string>();
        Part(parts, LowestAirK, limits.AirK, "K", "lower", "higher", "the lowest temperature");
        Part(parts, HighestAirK, limits.AirK, "K", "lower", "higher", "the highest temperature");
        Part(parts, StrongestWindMPerS, limits.WindMPerS, "m/s", "weaker", "stronger", "the strongest wind");
        Part(parts, RainMm, limits.RainMm, "mm", "less", "more", "rain");
        return parts.Count == 0 ? null : $"{second} differs from {first}: {string.Join("; ", parts)}.";
    }

    private static void Part(List<string> parts, double difference, double limit, string unit, string below, string above, string what)
    {
        if (Math.Abs(difference) > limit)
        {
            parts.Add(string.Create(CultureInfo.InvariantCulture, $"{what} {Math.Abs(difference):0.#} {unit} {(difference < 0 ? below : above)}"));
        }
    }

    private static void Add(ref (double Low, double High, double Wind, double Rain) side, HourlyWeather weather, int hour)
    {
        double airC = weather[WeatherQuantity.AirC][hour], wind = weather[WeatherQuantity.WindMPerS][hour], rain = weather[WeatherQuantity.PrecipitationMm][hour];
        side.Low = double.IsNaN(side.Low) ? airC : Math.Min(side.Low, airC);
        side.High = double.IsNaN(side.High) ? airC : Math.Max(side.High, airC);
        side.Wind = double.IsNaN(side.Wind) ? wind : double.IsNaN(wind) ? side.Wind : Math.Max(side.Wind, wind);
        side.Rain += double.IsNaN(rain) ? 0 : rain;
    }
}

/// <summary>From which difference on two sources count as far apart; common practice, no source.</summary>
/// <param name="AirK">Lowest or highest temperature. [K]</param>
/// <param name="WindMPerS">Strongest mean wind. [m/s]</param>
/// <param name="RainMm">Rain sum. [mm]</param>
public sealed record SpreadLimits(double AirK = 3, double WindMPerS = 5, double RainMm = 15);
