using GraftWatch.Microclimate.Solar;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Microclimate.Unions;

/// <summary>Cloud cover for longwave: given, or read off the sun by day and carried through the night.</summary>
/// <remarks>
/// By day c = 1 - min(1, global / clear sky of [Haurwitz1945]) while cos z is above 0.15; hours with a lower or no sun take the
/// line between the last and the next such hour, or the nearer one alone within a day of it. A daylight hour whose radiation is
/// missing has no cloud, and no line crosses it. Where the radiation itself is missing but a cloud cover is given, the global
/// irradiance is derived from it by [Kasten1980] on [Haurwitz1945].
/// </remarks>
internal static class CloudSteps
{
    private const double LowestCosZenith = 0.15;
    private const int LongestHold = 24;

    internal static void Fill(SkyHours sky)
    {
        sky.Weather.HourMean(WeatherQuantity.CloudFrac, sky.CloudFrac);
        var seen = new double[sky.Hours];
        for (int i = 0; i < sky.Hours; i++)
        {
            if (!double.IsNaN(sky.CloudFrac[i]))
            {
                sky.CloudFrac[i] = Math.Clamp(sky.CloudFrac[i], 0, 1);
                sky.CloudOrigin[i] = sky.Weather.OriginOf(WeatherQuantity.CloudFrac, i);
                DeriveGlobal(sky, i);
                seen[i] = sky.CloudFrac[i];
            }
            else
            {
                seen[i] = sky.SunUp[i] > LowestCosZenith
                    ? 1 - Math.Min(1, sky.GlobalWPerM2[i] / Sunlight.ClearGlobalWPerM2(sky.SunUp[i]))
                    : double.NaN;
            }
        }

        Carry(sky, seen);
    }

    private static void DeriveGlobal(SkyHours sky, int i)
    {
        if (double.IsNaN(sky.GlobalWPerM2[i]))
        {
            sky.GlobalWPerM2[i] = Sunlight.ClearGlobalWPerM2(sky.SunUp[i]) * Sunlight.CloudPassFrac(sky.CloudFrac[i]);
            sky.GlobalOrigin[i] = WeatherOrigin.Derived;
        }
    }

    private static void Carry(SkyHours sky, double[] seen)
    {
        int before = -1;
        int after = -1;
        for (int i = 0; i < sky.Hours; i++)
        {
            if (Ends(sky, seen, i))
            {
                before = double.IsNaN(seen[i]) ? -1 : i;
            }

            if (!double.IsNaN(sky.CloudFrac[i]) || (sky.SunUp[i] > LowestCosZenith && double.IsNaN(seen[i])))
            {
                continue;
            }

            if (after < i)
            {
                after = i;
                while (after < sky.Hours && !Ends(sky, seen, after))
                {
                    after++;
                }
            }

            bool hasAfter = after < sky.Hours && !double.IsNaN(seen[after]) && after - i <= LongestHold;
            bool hasBefore = before >= 0 && i - before <= LongestHold;
            double value = (hasBefore, hasAfter) switch
            {
                (true, true) when after == before => seen[before],
                (true, true) => seen[before] + ((seen[after] - seen[before]) * (i - before) / (after - before)),
                (true, false) => seen[before],
                (false, true) => seen[after],
                _ => double.NaN,
            };
            sky.CloudFrac[i] = value;
            sky.CloudOrigin[i] = double.IsNaN(value) ? WeatherOrigin.Missing : WeatherOrigin.Derived;
        }
    }

    /// <summary>Whether a carried line ends at this hour: it has a cloud, or daylight without one.</summary>
    private static bool Ends(SkyHours sky, double[] seen, int i) => !double.IsNaN(seen[i]) || sky.SunUp[i] > LowestCosZenith;
}
