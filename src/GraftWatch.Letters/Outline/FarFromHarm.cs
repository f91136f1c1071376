using GraftWatch.Aftercare.Advising;

namespace GraftWatch.Letters.Outline;

/// <summary>Values that need no line of their own: so far from harm that the number tells a grower nothing.</summary>
internal static class FarFromHarm
{
    /// <summary>Frost is not spoken of above this. [°C], engineering choice.</summary>
    private const double FrostFreeC = 5;

    /// <summary>Heat is not spoken of below this: callus forms best near it. [°C], engineering choice.</summary>
    private const double CoolC = 25;

    /// <summary>Gusts of a breeze. [m/s], Beaufort 4 ends here.</summary>
    private const double BreezeMPerS = 8;

    /// <summary>Rain that wets no union. [mm], engineering choice.</summary>
    private const double DampMm = 1;

    /// <summary>Whether the worst value of a fine hazard is far from any level.</summary>
    public static bool Is(FineHazard fine) => Is(fine.Hazard, fine.Value, fine.Unit);

    /// <summary>Whether a value is far from any level of a hazard; NaN never is.</summary>
    /// <param name="hazard">Which.</param>
    /// <param name="value">In its SI unit.</param>
    /// <param name="unit">The unit.</param>
    public static bool Is(Hazard hazard, double value, string unit) => (hazard, unit) switch
    {
        (Hazard.Frost, "°C") => value > FrostFreeC,
        (Hazard.Heat, "°C") => value < CoolC,
        (Hazard.Wind, "m/s") => value < BreezeMPerS,
        (Hazard.Wet, "mm") => value < DampMm,
        _ => false,
    };
}
