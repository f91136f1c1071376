namespace GraftWatch.Microclimate.Stem;

/// <summary>
/// Steady temperature around a long stem lit by parallel light from one side: conduction inside, one heat transfer coefficient
/// outside. Separation of variables in polar coordinates, [Carslaw1959] ch. 7.
/// </summary>
public static class CosineSeries
{
    /// <summary>Even terms used in production; more change no stem by 0.02 K.</summary>
    public const int Terms = 6;

    /// <summary>Temperature above the circumferential mean for 1 W/m² of absorbed light at normal incidence.</summary>
    /// <param name="cosFromSun">Cosine of the angle around the stem from the sunniest line. [-], -1 to 1.</param>
    /// <param name="coefficientWPerM2K">Coefficient from the surface to the surroundings, convection and radiation together. [W/m²K], above 0.</param>
    /// <param name="conductanceWPerM2K">Conductivity of the wood over the radius of the stem. [W/m²K], 0 or more.</param>
    /// <param name="terms">Even terms. [-]</param>
    /// <returns>Deviation. [K per W/m²]; NaN in gives NaN out.</returns>
    public static double DeviationKPerWPerM2(double cosFromSun, double coefficientWPerM2K, double conductanceWPerM2K, int terms = Terms) =>
        FirstKPerWPerM2(cosFromSun, coefficientWPerM2K, conductanceWPerM2K)
        + EvenKPerWPerM2(cosFromSun, coefficientWPerM2K, conductanceWPerM2K, terms);

    /// <summary>The term once around the stem.</summary>
    internal static double FirstKPerWPerM2(double cosFromSun, double coefficientWPerM2K, double conductanceWPerM2K) =>
        0.5 * cosFromSun / (coefficientWPerM2K + conductanceWPerM2K);

    /// <summary>The terms 2, 4, 6 … times around the stem.</summary>
    internal static double EvenKPerWPerM2(double cosFromSun, double coefficientWPerM2K, double conductanceWPerM2K, int terms)
    {
        // cos 2mφ by the recurrence of Chebyshev polynomials in cos 2φ.
        double twice = (2 * cosFromSun * cosFromSun) - 1;
        double before = 1;
        double current = twice;
        double sum = 0;
        double sign = 1;
        for (int m = 1; m <= terms; m++)
        {
            sum += sign * current / (((4.0 * m * m) - 1) * (coefficientWPerM2K + (2 * m * conductanceWPerM2K)));
            (before, current) = (current, (2 * twice * current) - before);
            sign = -sign;
        }

        return 2 / Math.PI * sum;
    }
}
