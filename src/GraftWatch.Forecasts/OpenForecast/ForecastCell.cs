using System.Globalization;
using GraftWatch.Aftercare.Grafts;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>The point weather is fetched for: places that round to the same cell share one request.</summary>
/// <remarks>Two decimals are about 1.1 km, the finest grid the service has; 20 m of height are 0.13 K at 6.5 K/km, about one printed step.</remarks>
internal readonly record struct ForecastCell(int LatitudeCenti, int LongitudeCenti, int ElevationSteps)
{
    private const double StepM = 20;

    public static ForecastCell Of(Place place) => new(
        (int)Math.Round(place.Site.LatitudeDeg * 100),
        (int)Math.Round(place.Site.LongitudeDeg * 100),
        (int)Math.Round(place.Site.ElevationM / StepM));

    public string Latitude => (LatitudeCenti / 100.0).ToString("0.##", CultureInfo.InvariantCulture);

    public string Longitude => (LongitudeCenti / 100.0).ToString("0.##", CultureInfo.InvariantCulture);

    public string Elevation => (ElevationSteps * StepM).ToString("0", CultureInfo.InvariantCulture);
}
