using System.Text;

namespace GraftWatch.Records.Register;

/// <summary>Splits text into records by RFC 4180, and remembers the line every cell begins on.</summary>
/// <remarks>Line ends may be CR LF, LF or CR. A fault of quoting ends neither the record nor the reading: what follows is read as well as it can be.</remarks>
internal sealed class CsvRecords
{
    private readonly string text;
    private readonly StringBuilder quoted = new();
    private int at;
    private int line = 1;

    private CsvRecords(string text) => this.text = text;

    /// <summary>All records that hold more than empty cells, and every fault of quoting.</summary>
    internal static (IReadOnlyList<CsvRecord> Records, IReadOnlyList<CsvQuoteFault> Faults) Read(string text)
    {
        var reader = new CsvRecords(text);
        var records = new List<CsvRecord>();
        var faults = new List<CsvQuoteFault>();
        while (reader.at < text.Length)
        {
            CsvRecord record = reader.ReadRecord(faults);
            if (record.Cells.Any(c => c.Text.Trim().Length > 0))
            {
                records.Add(record);
            }
        }

        return (records, faults);
    }

    private CsvRecord ReadRecord(List<CsvQuoteFault> faults)
    {
        int firstLine = line;
        var cells = new List<CsvCell>();
        bool broken = false;
        while (true)
        {
            int cellLine = line;
            string cell = at < text.Length && text[at] == '"' ? ReadQuoted(cells.Count, faults, ref broken) : ReadPlain(cells.Count, faults, ref broken);
            cells.Add(new CsvCell(cell, cellLine));
            if (at >= text.Length)
            {
                break;
            }

            if (text[at] == ',')
            {
                at++;
                continue;
            }

            SkipLineEnd();
            break;
        }

        return new CsvRecord(firstLine, cells, broken);
    }

    private string ReadPlain(int column, List<CsvQuoteFault> faults, ref bool broken)
    {
        int start = at;
        while (at < text.Length && text[at] is not (',' or '\n' or '\r'))
        {
            at++;
        }

        string cell = text[start..at];
        if (cell.Contains('"', StringComparison.Ordinal))
        {
            broken = true;
            faults.Add(new CsvQuoteFault(line, column, "There is a quote inside a cell that does not begin with one.", "Put the whole cell in quotes and write each quote in it twice."));
        }

        return cell;
    }

    private string ReadQuoted(int column, List<CsvQuoteFault> faults, ref bool broken)
    {
        int openedOn = line;
        quoted.Clear();
        at++;
        while (at < text.Length)
        {
            char c = text[at];
            if (c == '"')
            {
                if (at + 1 >= text.Length || text[at + 1] != '"')
                {
                    at++;
                    AfterQuote(column, faults, ref broken);
                    return quoted.ToString();
                }

                quoted.Append('"');
                at += 2;
                continue;
            }

            if (c is '\n' or '\r')
            {
                int from = at;
                SkipLineEnd();
                quoted.Append(text, from, at - from);
                continue;
            }

            quoted.Append(c);
            at++;
        }

        broken = true;
        faults.Add(new CsvQuoteFault(openedOn, column, "A quote is opened here and never closed; the rest of the file is inside it.", "Close the quote."));
        return quoted.ToString();
    }

    private void AfterQuote(int column, List<CsvQuoteFault> faults, ref bool broken)
    {
        int start = at;
        while (at < text.Length && text[at] is not (',' or '\n' or '\r'))
        {
            at++;
        }

        if (text.AsSpan(start, at - start).Trim().Length > 0)
        {
            broken = true;
            faults.Add(new CsvQuoteFault(line, column, "There is text after the closing quote of a cell.", "Put the whole cell in quotes and write each quote in it twice."));
        }
    }

    private void SkipLineEnd()
    {
        at += text[at] == '\r' && at + 1 < text.Length && text[at + 1] == '\n' ? 2 : 1;
        line++;
    }
}

/// <summary>One record.</summary>
/// <param name="Line">Line it begins on, from 1.</param>
/// <param name="Cells">Its cells.</param>
/// <param name="IsBroken">Whether its quoting is at fault, so that its cells may be nonsense.</param>
internal sealed record CsvRecord(int Line, IReadOnlyList<CsvCell> Cells, bool IsBroken);

/// <summary>One cell and the line it begins on.</summary>
internal readonly record struct CsvCell(string Text, int Line);

/// <summary>A fault of quoting.</summary>
internal sealed record CsvQuoteFault(int Line, int Column, string Problem, string Expected);
