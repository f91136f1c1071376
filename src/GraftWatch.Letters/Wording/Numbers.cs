using System.Globalization;
using GraftWatch.Aftercare.Advising;

namespace GraftWatch.Letters.Wording;

/// <summary>SI numbers in the grower's units, with as many decimals as the estimate deserves.</summary>
internal static class Numbers
{
    /// <summary>Keeps a number and its unit on one line; plain text prints it as a space.</summary>
    public const char Glue = '\u00A0';

    private static readonly string[] HeldUnits = ["°C", "°F", "K", "%", "km/h", "mph", "kPa", "mm", "cm", "m", "W/m²", "N·m", "min", "h", "×"];

    /// <summary>The number with its unit, such as "41.2 °C" or "106 °F"; "unknown" for NaN.</summary>
    /// <param name="value">Number in the SI unit.</param>
    /// <param name="unit">SI unit as the round writes it; an unknown unit is printed as it is.</param>
    /// <param name="units">The grower's units.</param>
    /// <param name="fine">One decimal in °F too: near frost half a degree decides.</param>
    public static string Format(double value, string unit, UnitSystem units, bool fine = false)
    {
        if (!double.IsFinite(value))
        {
            return "unknown";
        }

        (double shown, string name, int decimals) = Convert(value, PlainWords.Name(unit), units);
        string digits = Digits(shown, fine && name == "°F" ? 1 : decimals);
        return name.Length == 0 ? digits : digits + Glue + name;
    }

    /// <summary>The sentence with every number held to the unit behind it, so that no line ends between them.</summary>
    public static string Hold(string sentence)
    {
        var held = new System.Text.StringBuilder(sentence);
        for (int i = 1; i < held.Length - 1; i++)
        {
            if (held[i] == ' ' && char.IsAsciiDigit(held[i - 1]) && Array.Exists(HeldUnits, unit => IsWordAt(sentence, i + 1, unit)))
            {
                held[i] = Glue;
            }
        }

        return held.ToString();
    }

    private static bool IsWordAt(string sentence, int at, string word) =>
        string.CompareOrdinal(sentence, at, word, 0, word.Length) == 0
        && (at + word.Length == sentence.Length || !char.IsLetter(sentence[at + word.Length]));

    /// <summary>Fixed decimals, a real minus sign, never "−0".</summary>
    public static string Digits(double value, int decimals)
    {
        double rounded = Math.Round(value, decimals, MidpointRounding.AwayFromZero);
        string digits = Math.Abs(rounded).ToString("F" + decimals.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
        return rounded < 0 ? "−" + digits : digits;
    }

    /// <summary>A share as a whole percentage that never claims certainty.</summary>
    public static string Percent(double share) => share switch
    {
        _ when !double.IsFinite(share) => "unknown",
        < 0.01 => "less than 1 %",
        > 0.99 => "more than 99 %",
        _ => Digits(share * 100, 0) + Glue + "%",
    };

    /// <summary>Minutes of work, rounded to five above twenty: an estimate is not a timetable.</summary>
    public static string Minutes(double minutes)
    {
        if (!double.IsFinite(minutes) || minutes <= 0)
        {
            return string.Empty;
        }

        int whole = minutes <= 20 ? (int)Math.Max(1, Math.Round(minutes)) : (int)(Math.Round(minutes / 5) * 5);
        return whole < 60 ? $"about {whole} min"
            : whole % 60 == 0 ? $"about {whole / 60} h"
            : $"about {whole / 60} h {whole % 60} min";
    }

    /// <summary>"1 union", "7 unions".</summary>
    public static string Count(int count, string one, string many) =>
        string.Create(CultureInfo.InvariantCulture, $"{count} {(count == 1 ? one : many)}");

    private static (double Value, string Unit, int Decimals) Convert(double value, string unit, UnitSystem units)
    {
        bool states = units == UnitSystem.UnitedStates;
        return unit switch
        {
            "°C" or "C" => states ? ((value * 1.8) + 32, "°F", 0) : (value, "°C", 1),
            "K" => states ? (value * 1.8, "°F", 0) : (value, "°C", 1),
            "m/s" => states ? (value / 0.44704, "mph", 0) : (value * 3.6, "km/h", 0),
            "mm" => states ? (value / 25.4, "in", 2) : (value, "mm", 1),
            "m" => states ? (value / 0.0254, "in", 0) : (value * 100, "cm", 0),
            "W/m²" or "W/m2" => (value, "W/m²", 0),
            "N·m" or "Nm" => (value, "N·m", 1),
            "kPa" => (value, "kPa", 1),
            "d" => (value, Math.Round(value, 1) == 1 ? "day" : "days", 1),
            "h" => (value, Math.Round(value) == 1 ? "hour" : "hours", 0),
            "%" => (value, "%", 0),
            "-" or "" or "1" => (value, string.Empty, 2),
            _ => (value, unit, 1),
        };
    }
}
