using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Microclimate.Unions;

/// <summary>Albedo of the ground with snow on it, from fresh snow and thaw.</summary>
/// <remarks>
/// A ledger of snow in mm of water: 7 cm of fresh snow is 10 mm; it melts 3 mm per day and kelvin above 0 °C (degree-day factor of
/// open ground, [Hock2003]). Fresh snow 0.75, four days old 0.65 [Oke1987]. Snow that lay before the first hour is not known, and
/// where no source gives snowfall the ground counts as bare: the site's own albedo.
/// </remarks>
internal static class SnowCover
{
    private const double FreshFrac = 0.75;
    private const double OldFrac = 0.65;
    private const double FullCoverMm = 5;
    private const double MmPerCm = 10.0 / 7;
    private const double MeltMmPerKHour = 3.0 / 24;
    private const double AgeingHours = 96;

    internal static void FillAlbedo(SkyHours sky)
    {
        ReadOnlySpan<double> fallCm = sky.Weather[WeatherQuantity.SnowfallCm];
        double lyingMm = 0;
        double ageHours = 0;
        for (int i = 0; i < sky.Hours; i++)
        {
            if (fallCm[i] > 0)
            {
                lyingMm += fallCm[i] * MmPerCm;
                ageHours = fallCm[i] >= 0.5 ? 0 : ageHours;
            }

            if (sky.AirC[i] > 0)
            {
                lyingMm = Math.Max(0, lyingMm - (MeltMmPerKHour * sky.AirC[i]));
            }

            double snowFrac = FreshFrac - ((FreshFrac - OldFrac) * Math.Min(1, ageHours / AgeingHours));
            double cover = Math.Min(1, lyingMm / FullCoverMm);
            sky.GroundAlbedoFrac[i] = sky.Site.GroundAlbedoFrac + (cover * Math.Max(0, snowFrac - sky.Site.GroundAlbedoFrac));
            ageHours++;
        }
    }
}
