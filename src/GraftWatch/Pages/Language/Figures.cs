using System.Globalization;
using GraftWatch.Aftercare.Advising;

namespace GraftWatch.Pages.Language;

/// <summary>Numbers in the grower's units and language. A number that is not known is a dash, never zero.</summary>
/// <param name="units">The grower's units.</param>
/// <param name="language">The grower's language: it decides the decimal mark.</param>
internal sealed class Figures(UnitSystem units, PageLanguage language)
{
    private const char Glue = '\u00A0';
    private const double MetresInFoot = 0.3048;
    private const double MetresInInch = 0.0254;
    private const double MPerSInMph = 0.44704;

    /// <summary>What stands for a number that is not known.</summary>
    internal const string Unknown = "–";

    private bool States => units == UnitSystem.UnitedStates;

    /// <summary>A number with fixed decimals, a real minus sign and the language's decimal mark.</summary>
    internal string Number(double value, int decimals)
    {
        if (!double.IsFinite(value))
        {
            return Unknown;
        }

        double rounded = Math.Round(value, decimals, MidpointRounding.AwayFromZero);
        string digits = Math.Abs(rounded).ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
        return (rounded < 0 ? "−" : string.Empty) + (language == PageLanguage.German ? digits.Replace('.', ',') : digits);
    }

    /// <summary>A temperature. [°C in]</summary>
    internal string Temperature(double tempC, int decimals = 1) =>
        With(States ? (tempC * 1.8) + 32 : tempC, States ? Math.Max(0, decimals - 1) : decimals, States ? "°F" : "°C");

    /// <summary>A difference of temperatures. [K in]</summary>
    internal string TemperatureDifference(double differenceK) => With(States ? differenceK * 1.8 : differenceK, 1, States ? "°F" : "°C");

    /// <summary>A wind speed. [m/s in]</summary>
    internal string Wind(double windMPerS) => With(States ? windMPerS / MPerSInMph : windMPerS * 3.6, 0, States ? "mph" : "km/h");

    /// <summary>Rain. [mm in]</summary>
    internal string Rain(double rainMm) => With(States ? rainMm / 25.4 : rainMm, States ? 2 : 1, States ? "in" : "mm");

    /// <summary>A length of shoot or a height on the tree. [m in]</summary>
    internal string Length(double lengthM) => With(States ? lengthM / MetresInInch : lengthM * 100, 0, States ? "in" : "cm");

    /// <summary>A thickness. [m in]</summary>
    internal string Thickness(double diameterM) => With(States ? diameterM / MetresInInch : diameterM * 1000, States ? 2 : 0, States ? "in" : "mm");

    /// <summary>A height above the sea. [m in]</summary>
    internal string Elevation(double elevationM) => With(States ? elevationM / MetresInFoot : elevationM, 0, States ? "ft" : "m");

    /// <summary>A share. [0 to 1 in]</summary>
    internal string Share(double shareFrac) => With(shareFrac * 100, 0, "%");

    /// <summary>An angle. [°]</summary>
    internal string Angle(double angleDeg, int decimals = 0) => Number(angleDeg, decimals) + "°";

    /// <summary>A number as a person typed it, with either decimal mark; null when it is none.</summary>
    internal static double? Parse(string? typed)
    {
        string plain = (typed ?? string.Empty).Trim().Replace('−', '-').Replace(',', '.');
        return double.TryParse(plain, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double value) && double.IsFinite(value) ? value : null;
    }

    private string With(double value, int decimals, string unit) => double.IsFinite(value) ? Number(value, decimals) + Glue + unit : Unknown;
}
