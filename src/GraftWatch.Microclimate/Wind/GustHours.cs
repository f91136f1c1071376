using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Microclimate.Wind;

/// <summary>The strongest gust of each hour at 10 m: as the source gives it, else from the mean wind.</summary>
public static class GustHours
{
    /// <summary>Fills a place's gusts.</summary>
    /// <param name="weather">Hours of the place.</param>
    /// <param name="site">The place; its roughness sets the gust factor.</param>
    /// <param name="destination">Receives the gusts at 10 m, shelter not included [m/s]; length of <paramref name="weather"/>; NaN where neither gust nor wind is known.</param>
    /// <returns>How many hours were derived from the mean wind. [-]</returns>
    /// <remarks>
    /// The gust belongs to the hour before the stamp, the mean wind to the stamp itself; a derived gust takes the stronger of the
    /// two ends of its hour times <see cref="GustFactor.FromRoughness"/>. A given gust weaker than the mean wind is kept: it is the source's word.
    /// </remarks>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public static int Fill(HourlyWeather weather, Site site, Span<double> destination)
    {
        Response.SpanLengths.RequireEqual(weather.Hours, destination.Length, nameof(destination));
        ReadOnlySpan<double> gusts = weather[WeatherQuantity.GustMPerS];
        ReadOnlySpan<double> winds = weather[WeatherQuantity.WindMPerS];
        double factor = GustFactor.FromRoughness(site.RoughnessM);
        int derived = 0;
        for (int i = 0; i < destination.Length; i++)
        {
            destination[i] = gusts[i];
            if (double.IsNaN(gusts[i]))
            {
                destination[i] = factor * Math.Max(winds[i], winds[Math.Max(i - 1, 0)]);
                derived += double.IsNaN(destination[i]) ? 0 : 1;
            }
        }

        return derived;
    }
}
