using GraftWatch.Aftercare.Trade;

namespace GraftWatch.Records.Register;

/// <summary>Which column of the file holds what.</summary>
internal sealed class RegisterHeader
{
    private readonly Dictionary<string, int> indexes = new(StringComparer.Ordinal);
    private readonly List<string> names = [];

    internal int Width => names.Count;

    internal bool Has(string column) => indexes.ContainsKey(column);

    internal int IndexOf(string column) => indexes.GetValueOrDefault(column, -1);

    internal string NameAt(int index) => index < names.Count ? names[index] : string.Empty;

    /// <summary>Reads the first record; null when the file cannot be read at all.</summary>
    internal static RegisterHeader? Read(IReadOnlyList<CsvRecord> records, string file, List<RegisterFault> faults)
    {
        if (records.Count == 0)
        {
            faults.Add(new RegisterFault(file, 1, string.Empty, "The file is empty.", $"The first line names the columns: {RegisterColumns.Header}."));
            return null;
        }

        CsvRecord first = records[0];
        if (ForeignSeparator(first) is { } separator)
        {
            faults.Add(new RegisterFault(file, first.Line, string.Empty, $"The cells are parted by {separator}.", "Part them by commas; in a spreadsheet, choose the comma when saving as CSV, and write numbers with a point."));
            return null;
        }

        var header = new RegisterHeader();
        foreach (CsvCell cell in first.Cells)
        {
            header.Add(cell, first, file, faults);
        }

        if (header.indexes.Count == 0)
        {
            faults.Clear();
            faults.Add(new RegisterFault(file, first.Line, string.Empty, "The first line does not name columns.", $"It should be, in any order: {RegisterColumns.Header}."));
            return null;
        }

        foreach (string missing in RegisterColumns.Required.Where(r => !header.Has(r)))
        {
            faults.Add(new RegisterFault(file, first.Line, missing, "This column is missing.", $"Every register has {string.Join(", ", RegisterColumns.Required)}; the others may be left out."));
        }

        return header;
    }

    private void Add(CsvCell cell, CsvRecord record, string file, List<RegisterFault> faults)
    {
        string name = cell.Text.Trim().ToLowerInvariant();
        names.Add(name);
        string shown = name.Length > 40 ? name[..40] + "…" : name;
        if (!RegisterColumns.All.Contains(name))
        {
            string expected = NearestName.Of(name, RegisterColumns.All) is { } near ? $"Nearest known: {near}." : $"Known: {string.Join(", ", RegisterColumns.All)}.";
            faults.Add(new RegisterFault(file, record.Line, shown, name.Length == 0 ? $"Column {names.Count} has no name." : "There is no such column.", expected));
        }
        else if (!indexes.TryAdd(name, names.Count - 1))
        {
            faults.Add(new RegisterFault(file, record.Line, shown, "This column is there twice.", "Keep one of the two."));
        }
    }

    private static string? ForeignSeparator(CsvRecord first)
    {
        if (first.Cells.Count > 1)
        {
            return null;
        }

        string only = first.Cells[0].Text;
        return only.Contains(';', StringComparison.Ordinal) ? "semicolons"
            : only.Contains('\t', StringComparison.Ordinal) ? "tabs"
            : null;
    }
}
