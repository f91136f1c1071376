using System.Globalization;
using GraftWatch.Aftercare.Trade;

namespace GraftWatch.Settings.Quantities;

/// <summary>Reads and writes values with units, strictly: a point is the decimal mark, and every number says its unit.</summary>
public static class Units
{
    private const int LongestNumber = 40;

    /// <summary>Reads a value with its unit.</summary>
    /// <param name="text">What was written, such as "38 °C".</param>
    /// <param name="quantity">What is expected.</param>
    public static UnitReading Parse(string text, Quantity quantity)
    {
        string trimmed = text.Trim();
        int end = NumberEnd(trimmed);
        if (end == 0)
        {
            return Fault(quantity, $"'{Cut(trimmed)}' does not begin with a number.");
        }

        string unitWord = trimmed[end..].Trim();
        if (DecimalComma(trimmed, end, quantity) is { } comma)
        {
            return comma;
        }

        if (unitWord.Length == 0 && !quantity.BareAllowed)
        {
            return Fault(quantity, $"{Cut(trimmed)} has no unit.");
        }

        Unit? unit = quantity.Units.FirstOrDefault(u => u.Spellings.Any(s => Same(s, unitWord)));
        return unit is null ? Fault(quantity, UnknownUnit(unitWord, quantity)) : Convert(trimmed[..end], unit, quantity);
    }

    /// <summary>Takes a number that was written without a unit.</summary>
    public static UnitReading ParseBare(double written, Quantity quantity)
    {
        string shown = Number(written);
        if (!double.IsFinite(written))
        {
            return Fault(quantity, $"{shown} is not a finite number.");
        }

        return quantity.BareAllowed ? new UnitReading(written, null) : Fault(quantity, $"{shown} has no unit.");
    }

    /// <summary>Writes a kept number so that reading it gives the same number back.</summary>
    public static string Write(double kept, Quantity quantity) =>
        quantity.KeptSymbol.Length == 0 ? Number(kept)
        : quantity.KeptSymbol == "°" ? Number(kept) + "°"
        : Number(kept) + " " + quantity.KeptSymbol;

    /// <summary>Writes a kept number for people: at most three decimals.</summary>
    public static string Show(double kept, Quantity quantity) =>
        quantity == Quantity.Days && kept == 1 ? "1 day" : Write(Math.Abs(kept) < 1e9 ? Math.Round(kept, 3) : kept, quantity);

    /// <summary>A number as files hold it: shortest form that reads back the same, point as decimal mark.</summary>
    public static string Number(double value) => value.ToString("R", CultureInfo.InvariantCulture);

    private static UnitReading Convert(string number, Unit unit, Quantity quantity)
    {
        number = number.Replace('\u2212', '-');
        if (number.Length > LongestNumber || !double.TryParse(number, NumberStyles.Float, CultureInfo.InvariantCulture, out double direct) || !double.IsFinite(direct) || Math.Abs(direct) > 1e15)
        {
            return Fault(quantity, $"{Cut(number)} is not a number of this world.");
        }

        if (unit.IsKept || !decimal.TryParse(number, NumberStyles.Float, CultureInfo.InvariantCulture, out decimal exact))
        {
            return new UnitReading(direct, null);
        }

        // The cast from decimal does not always give the nearest double; reading its digits does.
        return new UnitReading(double.Parse(unit.ToKept(exact).ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture), null);
    }

    private static int NumberEnd(string text)
    {
        int at = text.Length > 0 && text[0] is '+' or '-' or '\u2212' ? 1 : 0;
        int digits = at;
        at = Digits(text, at);
        if (at == digits)
        {
            return 0;
        }

        if (at + 1 < text.Length && text[at] == '.' && char.IsAsciiDigit(text[at + 1]))
        {
            at = Digits(text, at + 1);
        }

        int exponent = at;
        if (exponent + 1 < text.Length && text[exponent] is 'e' or 'E')
        {
            int sign = text[exponent + 1] is '+' or '-' ? exponent + 2 : exponent + 1;
            int stop = Digits(text, sign);
            at = stop > sign ? stop : at;
        }

        return at;
    }

    private static int Digits(string text, int at)
    {
        while (at < text.Length && char.IsAsciiDigit(text[at]))
        {
            at++;
        }

        return at;
    }

    private static UnitReading? DecimalComma(string text, int end, Quantity quantity)
    {
        if (end + 1 >= text.Length || text[end] != ',' || !char.IsAsciiDigit(text[end + 1]))
        {
            return null;
        }

        int stop = Digits(text, end + 1);
        string mended = text[..end] + "." + text[(end + 1)..];
        bool thousands = stop - end - 1 == 3;
        string hint = thousands
            ? $"Write {text[..end]}{text[(end + 1)..stop]} without a mark between thousands, or a point for decimals."
            : $"Write '{Cut(mended)}' with a point.";
        return new UnitReading(double.NaN, new UnitProblem($"'{Cut(text)}' has a comma in the number.", hint, quantity.Example));
    }

    private static string UnknownUnit(string word, Quantity quantity)
    {
        if (word.Length == 0)
        {
            return "there is no unit.";
        }

        IEnumerable<string> own = quantity.Units.SelectMany(u => u.Spellings).Where(s => s.Length > 1 && word.Length > 1);
        string shown = Cut(word);
        if (quantity.Units is [{ Symbol: "" }])
        {
            return $"'{shown}' has no place here.";
        }

        Quantity? other = Quantity.All.FirstOrDefault(q => q != quantity && q.Units.Any(u => u.Spellings.Any(s => s.Length > 0 && Same(s, word))));
        if (other is not null)
        {
            return $"'{shown}' is the unit of {other.Name}.";
        }

        return NearestName.Of(word, own) is { } near ? $"'{shown}' is not a unit known here; nearest is '{near}'." : $"'{shown}' is not a unit known here.";
    }

    // Letters of units are told apart by case only where two units differ by nothing else.
    private static bool Same(string spelling, string written) =>
        string.Equals(spelling, written, StringComparison.Ordinal)
        || (spelling.Length > 0 && spelling is not ("Pa" or "MPa" or "kPa" or "hPa" or "GPa" or "K") && string.Equals(spelling, written, StringComparison.OrdinalIgnoreCase));

    private static UnitReading Fault(Quantity quantity, string problem)
    {
        string units = quantity.UnitsInWords();
        string expected = units.Length > 0 ? $"Expected {quantity.Name} in {units}." : $"Expected {quantity.Name}.";
        return new UnitReading(double.NaN, new UnitProblem(problem, expected, quantity.Example));
    }

    private static string Cut(string text) => text.Length > 40 ? text[..40] + "…" : text;
}

/// <summary>What came of reading a value with a unit.</summary>
/// <param name="Value">In the kept unit; NaN when there is a problem.</param>
/// <param name="Problem">What is wrong, or null.</param>
public readonly record struct UnitReading(double Value, UnitProblem? Problem)
{
    /// <summary>Whether a value was read.</summary>
    public bool IsValid => Problem is null;
}

/// <summary>Why a value could not be read.</summary>
/// <param name="Problem">What is wrong: one sentence.</param>
/// <param name="Expected">What would be right: one sentence.</param>
/// <param name="Example">A value that would be right.</param>
public sealed record UnitProblem(string Problem, string Expected, string Example);
