using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.Language;
using GraftWatch.Records.Register;

namespace GraftWatch.Pages.Grafts;

/// <summary>A graft as the fields of a form: the register's cells, with lengths in the grower's units, and labels that count on.</summary>
/// <remarks>What is typed is read as a row of the register, so that a form and a file have the same defaults and the same faults.</remarks>
internal static class GraftCells
{
    /// <summary>Most grafts one form adds.</summary>
    internal const int MostAtOnce = 200;

    private const decimal MetresInInch = 0.0254m;

    /// <summary>Columns a form shows.</summary>
    internal static IReadOnlyList<string> Columns => RegisterColumns.All;

    /// <summary>What one of the form's units is in the register's for a column; null for a column without a length.</summary>
    internal static decimal? UnitOf(string column, UnitSystem units) => (column, units) switch
    {
        (RegisterColumns.Height, UnitSystem.Metric) => 0.01m,
        (RegisterColumns.Height, _) => MetresInInch,
        (RegisterColumns.Diameter or RegisterColumns.Shoot, UnitSystem.Metric) => 1,
        (RegisterColumns.Diameter, _) => MetresInInch * 1000,
        (RegisterColumns.Shoot, _) => MetresInInch * 100,
        _ => null,
    };

    /// <summary>What a form shows for a graft: as the register's cells, assumed ones empty.</summary>
    internal static Dictionary<string, string> Shown(Graft graft, UnitSystem units, PageLanguage language)
    {
        var shown = new Dictionary<string, string>(RegisterCsv.Cells(graft), StringComparer.Ordinal);
        foreach (string column in Columns)
        {
            if (UnitOf(column, units) is { } unit && decimal.TryParse(shown[column], NumberStyles.Float, CultureInfo.InvariantCulture, out decimal value))
            {
                string number = Math.Round(value / unit, 3).ToString("0.###", CultureInfo.InvariantCulture);
                shown[column] = language == PageLanguage.German ? number.Replace('.', ',') : number;
            }
        }

        return shown;
    }

    /// <summary>The register's cells for what was typed.</summary>
    /// <param name="typed">What stands in a column's field.</param>
    /// <param name="units">Units of the form.</param>
    /// <param name="language">Language of the form: a comma is a decimal mark.</param>
    /// <param name="before">The record that is edited: a length that was not touched keeps its digits; null for a new one.</param>
    internal static Dictionary<string, string> Cells(Func<string, string> typed, UnitSystem units, PageLanguage language, Graft? before)
    {
        IReadOnlyDictionary<string, string>? old = before is null ? null : RegisterCsv.Cells(before);
        Dictionary<string, string>? shown = before is null ? null : Shown(before, units, language);
        var cells = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (string column in Columns)
        {
            string text = typed(column).Trim();
            bool isNumber = UnitOf(column, units) is not null || column is RegisterColumns.Tilt;
            bool isUntouched = old is not null && (text == shown![column] || (column == RegisterColumns.Place && text.Length == 0));
            if (isUntouched)
            {
                cells[column] = old![column];
            }
            else if (isNumber && Figures.Parse(text) is { } value && Math.Abs(value) < 1e6)
            {
                cells[column] = ((decimal)value * (UnitOf(column, units) ?? 1)).ToString("0.######", CultureInfo.InvariantCulture);
            }
            else
            {
                cells[column] = text;
            }
        }

        return cells;
    }

    /// <summary>The rows of like grafts: labels count on, and trees where they end in a number.</summary>
    /// <returns>Null when there are several and the label does not end in a number.</returns>
    internal static IReadOnlyList<Dictionary<string, string>>? Rows(Dictionary<string, string> first, int count)
    {
        var rows = new List<Dictionary<string, string>>(count) { first };
        for (int i = 1; i < count; i++)
        {
            if (CountOn(first[RegisterColumns.Label], i) is not { } label)
            {
                return null;
            }

            string tree = first[RegisterColumns.Tree];
            rows.Add(new Dictionary<string, string>(first, StringComparer.Ordinal) { [RegisterColumns.Label] = label, [RegisterColumns.Tree] = CountOn(tree, i) ?? tree });
        }

        return rows;
    }

    /// <summary>The label so many further: B3-07 and 2 give B3-09; null when it does not end in a number.</summary>
    internal static string? CountOn(string label, int further)
    {
        int digits = 0;
        while (digits < label.Length && digits < 9 && char.IsAsciiDigit(label[^(digits + 1)]))
        {
            digits++;
        }

        if (digits == 0)
        {
            return null;
        }

        long number = long.Parse(label.AsSpan(label.Length - digits), NumberStyles.None, CultureInfo.InvariantCulture) + further;
        return string.Concat(label.AsSpan(0, label.Length - digits), number.ToString("D" + digits.ToString(CultureInfo.InvariantCulture), CultureInfo.InvariantCulture));
    }

    /// <summary>The first label after this one that is free; empty when it does not count.</summary>
    internal static string NextFree(string label, IReadOnlySet<string> taken)
    {
        for (int i = 1; i <= 10_000; i++)
        {
            if (CountOn(label, i) is not { } next)
            {
                return string.Empty;
            }

            if (!taken.Contains(next))
            {
                return next;
            }
        }

        return string.Empty;
    }
}
