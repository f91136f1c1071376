using System.Globalization;

namespace GraftWatch.Aftercare.Advising;

/// <summary>Numbers as the grower reads them.</summary>
internal static class UnitWords
{
    /// <summary>A number of an SI unit in the grower's units, such as "44 °C", "61 km/h", "2.4".</summary>
    /// <param name="value">Number in the SI unit.</param>
    /// <param name="unit">The unit.</param>
    /// <param name="units">The grower's units.</param>
    /// <param name="fine">One more decimal, for frost.</param>
    internal static string Say(double value, string unit, UnitSystem units, bool fine = false)
    {
        if (!double.IsFinite(value))
        {
            return "unknown";
        }

        bool states = units == UnitSystem.UnitedStates;
        return unit switch
        {
            "°C" => states ? Digits((value * 1.8) + 32, fine ? 1 : 0) + " °F" : Digits(value, fine ? 1 : 0) + " °C",
            "m/s" => states ? Digits(value / 0.44704, 0) + " mph" : Digits(value * 3.6, 0) + " km/h",
            "mm" => states ? Digits(value / 25.4, 1) + " in" : Digits(value, 0) + " mm",
            "m" => states ? Digits(value / 0.0254, 0) + " in" : Digits(value * 100, 0) + " cm",
            "kPa" => Digits(value, 1) + " kPa",
            "W/m²" => Digits(Math.Round(value / 10) * 10, 0) + " W/m²",
            "-" => Digits(value, value < 10 ? 1 : 0),
            _ => Digits(value, 1) + " " + unit,
        };
    }

    /// <summary>Fixed decimals, a real minus sign, never "−0".</summary>
    internal static string Digits(double value, int decimals)
    {
        double rounded = Math.Round(value, decimals, MidpointRounding.AwayFromZero);
        string digits = Math.Abs(rounded).ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
        return rounded < 0 ? "−" + digits : digits;
    }
}
