using System.Globalization;
using GraftWatch.Aftercare.Trade;

namespace GraftWatch.Records.Register;

/// <summary>The cells of one record by column name.</summary>
internal sealed class RegisterCells(CsvRecord record, RegisterHeader header, string file, List<RegisterFault> faults)
{
    private readonly List<string> assumed = [];

    /// <summary>What was taken for empty cells: "column: value".</summary>
    internal IReadOnlyList<string> Assumed => assumed;

    internal string Raw(string column) => header.IndexOf(column) is >= 0 and var at ? record.Cells[at].Text.Trim() : string.Empty;

    internal int LineOf(string column) => header.IndexOf(column) is >= 0 and var at ? record.Cells[at].Line : record.Line;

    internal void Fault(string column, string problem, string expected) => faults.Add(new RegisterFault(file, LineOf(column), column, problem, expected));

    internal void Assume(string column, string value) => assumed.Add(column + ": " + value);

    internal string Required(string column, string expected)
    {
        string text = Raw(column);

        // A column that is missing altogether is one fault of the header, not one of each row.
        if (text.Length == 0 && header.Has(column))
        {
            Fault(column, "The cell is empty.", expected);
        }

        return text;
    }

    internal string Text(string column, int longest)
    {
        string text = Raw(column);
        if (text.Length > longest)
        {
            Fault(column, $"The text has {text.Length} letters.", $"Expected at most {longest}.");
        }

        return text;
    }

    /// <summary>A number in the column's unit, kept divided by <paramref name="perUnit"/>; NaN with a fault.</summary>
    internal double Number(string column, double least, double most, string unit, int perUnit, double otherwise, string otherwiseWords)
    {
        if (Raw(column).Length == 0)
        {
            Assume(column, otherwiseWords.StartsWith("as usual", StringComparison.Ordinal) ? $"{Shown(otherwise * perUnit)} {unit}, {otherwiseWords}" : otherwiseWords);
            return otherwise;
        }

        return OptionalNumber(column, least, most, unit, perUnit) ?? double.NaN;
    }

    internal double? OptionalNumber(string column, double least, double most, string unit, int perUnit)
    {
        string text = Raw(column);
        if (text.Length == 0)
        {
            return null;
        }

        if (!TryNumber(text, out decimal number))
        {
            Fault(column, $"'{Cut(text)}' is not a number.", NumberHint(text, unit));
            return null;
        }

        if ((double)number < least || (double)number > most)
        {
            Fault(column, $"{Cut(text)} {unit} is out of range.", $"Expected {Shown(least)} to {Shown(most)} {unit}.{UnitHint((double)number, least, most, unit)}");
            return null;
        }

        // The cast from decimal does not always give the nearest double; reading its digits does.
        return double.Parse((number / perUnit).ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);
    }

    internal int Whole(string column, int least, int most, int otherwise, string otherwiseWords)
    {
        if (Raw(column).Length == 0)
        {
            Assume(column, otherwiseWords);
            return otherwise;
        }

        return OptionalWhole(column, least, most) ?? otherwise;
    }

    internal int? OptionalWhole(string column, int least, int most)
    {
        string text = Raw(column);
        if (text.Length == 0)
        {
            return null;
        }

        if (!TryNumber(text, out decimal number) || number != decimal.Truncate(number))
        {
            Fault(column, $"'{Cut(text)}' is not a whole number.", $"Expected {Shown(least)} to {Shown(most)}.");
            return null;
        }

        if (number < least || number > most)
        {
            Fault(column, $"{Cut(text)} is out of range.", $"Expected {Shown(least)} to {Shown(most)}.");
            return null;
        }

        return (int)number;
    }

    internal static string Nearest(string word, IReadOnlyCollection<string> known) =>
        NearestName.Of(word, known) is { } near ? $"Nearest known: {near}." : $"Known: {string.Join(", ", known)}.";

    internal static string Cut(string text) => text.Length > 40 ? text[..40] + "…" : text;

    internal static string Shown(double value) => Math.Round(value, 6).ToString("R", CultureInfo.InvariantCulture);

    private static bool TryNumber(string text, out decimal number) =>
        decimal.TryParse(text, NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out number) && Math.Abs(number) < 1_000_000_000m;

    private static string NumberHint(string text, string unit)
    {
        if (text.Contains(',', StringComparison.Ordinal))
        {
            return $"Write a point as the decimal mark: {Cut(text.Replace(',', '.'))}.";
        }

        return unit.Length > 0 && text.EndsWith(unit, StringComparison.OrdinalIgnoreCase)
            ? $"Leave the unit out; the column is in {unit}."
            : $"Expected a number in {unit}, with a point as the decimal mark.";
    }

    // The slips seen most: centimetres in a column of millimetres or metres.
    private static string UnitHint(double number, double least, double most, string unit)
    {
        double other = unit switch { "mm" => number * 10, "m" => number / 100, _ => double.NaN };
        return other >= least && other <= most ? $" Centimetres? {Shown(number)} cm is {Shown(other)} {unit}." : string.Empty;
    }
}
