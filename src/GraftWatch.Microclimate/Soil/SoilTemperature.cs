using GraftWatch.Microclimate.Response;

namespace GraftWatch.Microclimate.Soil;

/// <summary>Where a root-zone temperature came from.</summary>
public enum SoilTemperatureOrigin
{
    /// <summary>Unknown; the value is NaN.</summary>
    Missing = 0,

    /// <summary>From the source's own soil temperatures.</summary>
    FromSoil,

    /// <summary>From slowed air temperature, an estimate.</summary>
    FromAir,
}

/// <summary>Temperature of the root zone, 0 to 30 cm.</summary>
public static class SoilTemperature
{
    /// <summary>How slowly the root zone follows what drives it. [d]; a ten-day mean lags by five days, which is the usual stand-in; common practice, no source.</summary>
    public const double DefaultLagDays = 5;

    /// <summary>How much sun warms the root zone above the air. [K per W/m²]; thin grass, engineering default. Bare desert soil measured 0.013, see the validation page.</summary>
    public const double DefaultSunKPerWPerM2 = 0.008;

    /// <summary>Gap of air temperature after which the slowed air must start afresh. [h], engineering choice.</summary>
    public const int LongestGapHours = 24;

    /// <summary>Mean of the root zone from two depths.</summary>
    /// <param name="shallowC">Near 6 cm. [°C]; stands for 0 to 12 cm.</param>
    /// <param name="deepC">Near 18 cm. [°C]; stands for 12 to 30 cm.</param>
    /// <returns>Mean of 0 to 30 cm. [°C]; where one depth is NaN the other alone; NaN where both are.</returns>
    /// <remarks>Weights 0.4 and 0.6, the halves of the depths between the two (engineering choice). One depth alone is the coarser answer: 6 cm swings with the day.</remarks>
    public static double RootZoneC(double shallowC, double deepC)
    {
        if (double.IsNaN(shallowC))
        {
            return deepC;
        }

        return double.IsNaN(deepC) ? shallowC : (0.4 * shallowC) + (0.6 * deepC);
    }

    /// <summary>Slowed air temperature and sun as a stand-in for the root zone.</summary>
    /// <param name="airC">Hourly mean air temperatures. [°C]</param>
    /// <param name="globalWPerM2">Hourly mean global irradiance [W/m²], same length; empty leaves the sun out, which reads 1 to 4 K too cold.</param>
    /// <param name="destination">Receives the estimate [°C]; same length, may not be the same memory; NaN in hours without an input.</param>
    /// <param name="lagDays">Lag. [d], above 0, default <see cref="DefaultLagDays"/>.</param>
    /// <param name="sunKPerWPerM2">Warming by sun. [K per W/m²], 0 to 0.02, default <see cref="DefaultSunKPerWPerM2"/>.</param>
    /// <remarks>
    /// First-order lag <c>T += (Tair + s·G - T)(1 - exp(-1 h/lag))</c>: a body that warms in proportion to the difference from what
    /// air and sun together would make it (the sol-air temperature of building physics; common practice, no source). It starts at the
    /// mean of the first 24 known hours, holds through gaps of up to a day and starts afresh after longer ones. Snow cover, wet or
    /// mulched soil break it; the validation page states the error against measured soil.
    /// </remarks>
    /// <exception cref="ArgumentException">The lengths differ or the lag is not positive.</exception>
    public static void FromAir(
        ReadOnlySpan<double> airC,
        ReadOnlySpan<double> globalWPerM2,
        Span<double> destination,
        double lagDays = DefaultLagDays,
        double sunKPerWPerM2 = DefaultSunKPerWPerM2)
    {
        SpanLengths.RequireEqual(airC.Length, destination.Length, nameof(destination));
        bool withSun = globalWPerM2.Length > 0;
        if (withSun)
        {
            SpanLengths.RequireEqual(airC.Length, globalWPerM2.Length, nameof(globalWPerM2));
        }

        if (!(lagDays > 0))
        {
            throw new ArgumentException("The lag must be positive.", nameof(lagDays));
        }

        for (int i = 0; i < airC.Length; i++)
        {
            destination[i] = airC[i] + (withSun ? sunKPerWPerM2 * globalWPerM2[i] : 0);
        }

        Slow(destination, 1 - Math.Exp(-1 / (24 * lagDays)));
    }

    /// <summary>Root-zone temperature of every hour: the source's soil temperatures where given, slowed air elsewhere.</summary>
    /// <param name="shallowC">Near 6 cm. [°C]</param>
    /// <param name="deepC">Near 18 cm. [°C]</param>
    /// <param name="airC">Hourly mean air temperatures. [°C]</param>
    /// <param name="globalWPerM2">Hourly mean global irradiance, or empty. [W/m²]</param>
    /// <param name="destination">Receives the temperatures [°C]; all spans have its length.</param>
    /// <param name="origins">Receives where each came from; same length.</param>
    /// <remarks>See <see cref="RootZoneC"/> and <see cref="FromAir"/>; where the source stops (its last days), the estimate takes over without a blend.</remarks>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public static void Fill(
        ReadOnlySpan<double> shallowC,
        ReadOnlySpan<double> deepC,
        ReadOnlySpan<double> airC,
        ReadOnlySpan<double> globalWPerM2,
        Span<double> destination,
        Span<SoilTemperatureOrigin> origins)
    {
        SpanLengths.RequireEqual(destination.Length, shallowC.Length, nameof(shallowC));
        SpanLengths.RequireEqual(destination.Length, deepC.Length, nameof(deepC));
        SpanLengths.RequireEqual(destination.Length, origins.Length, nameof(origins));
        FromAir(airC, globalWPerM2, destination);
        for (int i = 0; i < destination.Length; i++)
        {
            double given = RootZoneC(shallowC[i], deepC[i]);
            if (double.IsNaN(given))
            {
                origins[i] = double.IsNaN(destination[i]) ? SoilTemperatureOrigin.Missing : SoilTemperatureOrigin.FromAir;
                continue;
            }

            destination[i] = given;
            origins[i] = SoilTemperatureOrigin.FromSoil;
        }
    }

    private static void Slow(Span<double> driverC, double share)
    {
        double state = double.NaN;
        int gap = LongestGapHours + 1;
        for (int i = 0; i < driverC.Length; i++)
        {
            if (double.IsNaN(driverC[i]))
            {
                gap++;
                continue;
            }

            state = gap > LongestGapHours ? MeanOfFirstDay(driverC[i..]) : state + (share * (driverC[i] - state));
            gap = 0;
            driverC[i] = state;
        }
    }

    private static double MeanOfFirstDay(ReadOnlySpan<double> driverC)
    {
        double sum = 0;
        int known = 0;
        foreach (double hourC in driverC[..Math.Min(24, driverC.Length)])
        {
            if (!double.IsNaN(hourC))
            {
                sum += hourC;
                known++;
            }
        }

        return sum / known;
    }
}
