using System.Text;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using NodaTime;

namespace GraftWatch.Records.Register;

/// <summary>Reads and writes the register as CSV (RFC 4180, UTF-8).</summary>
public static class RegisterCsv
{
    /// <summary>Reads a register.</summary>
    /// <param name="bytes">The file.</param>
    /// <param name="handbook">Species and materials the cells name.</param>
    /// <param name="today">The local day: nothing can have been grafted after it.</param>
    /// <param name="context">File name and places.</param>
    public static RegisterReading Parse(ReadOnlySpan<byte> bytes, Handbook handbook, LocalDate today, RegisterContext context)
    {
        if (bytes.StartsWith(Encoding.UTF8.Preamble))
        {
            bytes = bytes[Encoding.UTF8.Preamble.Length..];
        }

        // Text of two bytes a letter reads as UTF-8 with a NUL beside each.
        if (bytes[..Math.Min(bytes.Length, 1000)].Contains((byte)0))
        {
            return NotUtf8(context, line: 1);
        }

        try
        {
            return Parse(new UTF8Encoding(false, throwOnInvalidBytes: true).GetString(bytes), handbook, today, context);
        }
        catch (DecoderFallbackException broken)
        {
            int line = 1 + bytes[..Math.Clamp(broken.Index, 0, bytes.Length)].Count((byte)'\n');
            return NotUtf8(context, line);
        }
    }

    /// <summary>Reads a register.</summary>
    /// <param name="text">The file's text; a byte order mark is skipped.</param>
    /// <param name="handbook">Species and materials the cells name.</param>
    /// <param name="today">The local day: nothing can have been grafted after it.</param>
    /// <param name="context">File name and places.</param>
    public static RegisterReading Parse(string text, Handbook handbook, LocalDate today, RegisterContext context)
    {
        (IReadOnlyList<CsvRecord> records, IReadOnlyList<CsvQuoteFault> quoting) = CsvRecords.Read(text.StartsWith('\uFEFF') ? text[1..] : text);
        var faults = new List<RegisterFault>();
        if (RegisterHeader.Read(records, context.File, faults) is not { } header)
        {
            return new RegisterReading([], faults);
        }

        faults.AddRange(quoting.Select(q => new RegisterFault(context.File, q.Line, header.NameAt(q.Column), q.Problem, q.Expected)));
        var reader = new RegisterRowReader(header, handbook, today, context, faults);
        var grafts = new List<Graft>(records.Count);
        foreach (CsvRecord record in records.Skip(1))
        {
            if (reader.Read(record) is { } graft)
            {
                grafts.Add(graft);
            }
        }

        return faults.Count > 0
            ? new RegisterReading([], faults.OrderBy(f => f.Line).ThenBy(f => f.Line == records[0].Line ? 0 : header.IndexOf(f.Column)).ToList())
            : new RegisterReading(grafts, []);
    }

    private static RegisterReading NotUtf8(RegisterContext context, int line) =>
        new([], [new RegisterFault(context.File, line, string.Empty, "The file is not UTF-8.", "In a spreadsheet, save as \"CSV UTF-8\".")]);

    /// <summary>
    /// Writes a register with every column, lines ended by CR LF. Cells that were assumed stay empty, so that reading it gives
    /// the same grafts and writing those the same bytes.
    /// </summary>
    public static string Write(IEnumerable<Graft> grafts)
    {
        var text = new StringBuilder(RegisterColumns.Header).Append("\r\n");
        foreach (Graft graft in grafts)
        {
            RegisterRowWriter.Append(text, graft);
        }

        return text.ToString();
    }

    /// <summary>The cells of one graft by column, as <see cref="Write"/> writes them without quotes: what was assumed stays empty.</summary>
    public static IReadOnlyDictionary<string, string> Cells(Graft graft)
    {
        ArgumentNullException.ThrowIfNull(graft);
        return RegisterColumns.All.ToDictionary(column => column, column => RegisterRowWriter.Text(graft, column), StringComparer.Ordinal);
    }

    /// <summary>A register of rows given as cells by column; every column is there.</summary>
    public static string OfCells(IEnumerable<IReadOnlyDictionary<string, string>> rows)
    {
        ArgumentNullException.ThrowIfNull(rows);
        var text = new StringBuilder(RegisterColumns.Header).Append("\r\n");
        foreach (IReadOnlyDictionary<string, string> row in rows)
        {
            text.AppendJoin(',', RegisterColumns.All.Select(column => RegisterRowWriter.Quoted(row.GetValueOrDefault(column, string.Empty)))).Append("\r\n");
        }

        return text.ToString();
    }
}
