using System.Globalization;
using System.Runtime.CompilerServices;

namespace GraftWatch.Testing;

/// <summary>Published check values as a file: who printed them, where, in which units, how exactly, and why that exactly.</summary>
/// <remarks>
/// Header lines, each required: <c># source: [Key2000] table 2.3, p. 36</c>, <c># transcribed: from what, when</c>,
/// <c># units: airC [°C], pressureKPa [kPa]</c> and one <c># tolerance: COLUMN abs|rel NUMBER reason in words</c> for each
/// expected column. Then a header row and rows of invariant numbers; an empty cell is not checked; a column named
/// <c>case</c> holds words. A file is refused when its tolerance would let zero, or a tenth off, pass.
/// A source that starts with "regression" marks our own earlier numbers; they are not outside values.
/// </remarks>
public sealed class VectorFile
{
    private VectorFile(string name, string source, IReadOnlyDictionary<string, Tolerance> tolerances, IReadOnlyList<VectorRow> rows)
    {
        Name = name;
        Source = source;
        Tolerances = tolerances;
        Rows = rows;
    }

    /// <summary>File name.</summary>
    public string Name { get; }

    /// <summary>The source line.</summary>
    public string Source { get; }

    /// <summary>How far each expected column may be off.</summary>
    public IReadOnlyDictionary<string, Tolerance> Tolerances { get; }

    /// <summary>The rows.</summary>
    public IReadOnlyList<VectorRow> Rows { get; }

    /// <summary>Number of expected values in the file.</summary>
    public int CheckedValues => Rows.Sum(row => Tolerances.Keys.Count(row.Has));

    /// <summary>Loads a file from the folder <c>Vectors</c> beside the calling test's project root.</summary>
    public static VectorFile Load(string relativePath, [CallerFilePath] string sourceFile = "")
    {
        for (DirectoryInfo? at = new(Path.GetDirectoryName(sourceFile)!); at is not null; at = at.Parent)
        {
            string path = Path.Combine(at.FullName, "Vectors", relativePath);
            if (File.Exists(path))
            {
                return Parse(relativePath, File.ReadAllText(path));
            }
        }

        throw new FileNotFoundException($"No Vectors/{relativePath} above {sourceFile}.");
    }

    /// <summary>Parses the text of a vector file.</summary>
    /// <exception cref="FormatException">A header is missing, a number does not parse, or a tolerance is vacuous.</exception>
    public static VectorFile Parse(string name, string text)
    {
        string? source = null;
        bool transcribed = false, units = false;
        var tolerances = new Dictionary<string, Tolerance>(StringComparer.Ordinal);
        string[]? columns = null;
        var rows = new List<VectorRow>();
        foreach (string raw in text.Split('\n'))
        {
            string line = raw.Trim();
            if (line.Length == 0)
            {
                continue;
            }

            if (line.StartsWith('#'))
            {
                string header = line[1..].Trim();
                source ??= Value(header, "source:");
                transcribed |= Value(header, "transcribed:") is not null;
                units |= Value(header, "units:") is not null;
                if (Value(header, "tolerance:") is { } tolerance)
                {
                    (string column, Tolerance parsed) = Tolerance.Parse(name, tolerance);
                    tolerances.Add(column, parsed);
                }

                continue;
            }

            string[] cells = line.Split(',');
            if (columns is null)
            {
                columns = cells.Select(c => c.Trim()).ToArray();
                continue;
            }

            if (cells.Length != columns.Length)
            {
                throw new FormatException($"{name}: a row has {cells.Length} cells, the header {columns.Length}: {line}");
            }

            rows.Add(new VectorRow(name, rows.Count + 1, columns, cells, tolerances));
        }

        if (source is null || !transcribed || !units || tolerances.Count == 0 || columns is null || rows.Count == 0)
        {
            throw new FormatException($"{name}: needs '# source:', '# transcribed:', '# units:', '# tolerance:', a header row and rows.");
        }

        var file = new VectorFile(name, source, tolerances, rows);
        file.RefuseVacuous();
        return file;
    }

    private static string? Value(string header, string key) =>
        header.StartsWith(key, StringComparison.Ordinal) ? header[key.Length..].Trim() : null;

    private void RefuseVacuous()
    {
        foreach ((string column, Tolerance tolerance) in Tolerances)
        {
            double[] expected = Rows.Where(r => r.Has(column)).Select(r => Math.Abs(r[column])).ToArray();
            if (expected.Length == 0)
            {
                throw new FormatException($"{Name}: no row has a value in {column}.");
            }

            double largest = expected.Max();
            foreach (double value in expected)
            {
                // A true zero is held to a tenth of a hundredth of the column's size, everything else to a tenth of itself.
                double bound = value > 0 ? 0.1 * value : 0.001 * largest;
                bool relativeZero = value == 0 && !tolerance.IsAbsolute;
                if (!relativeZero && tolerance.Width(value) > Math.Max(bound, tolerance.IsAbsolute ? tolerance.StatedScale * 0.1 : 0))
                {
                    throw new FormatException($"{Name}: the tolerance of {column} ({tolerance.Width(value)}) would accept a value a tenth off {value}.");
                }
            }
        }
    }
}

/// <summary>How far an expected value may be off, and why.</summary>
/// <param name="IsAbsolute">Absolute, in the column's unit; else relative.</param>
/// <param name="Amount">Absolute width or relative share.</param>
/// <param name="StatedScale">For temperatures and angles, whose zero is arbitrary: the natural span the tolerance is measured against, given as <c>scale=NUMBER</c>; else 0.</param>
/// <param name="Reason">Why this width.</param>
public sealed record Tolerance(bool IsAbsolute, double Amount, double StatedScale, string Reason)
{
    /// <summary>Width around an expected value.</summary>
    public double Width(double expected) => IsAbsolute ? Amount : Amount * Math.Abs(expected);

    internal static (string Column, Tolerance Tolerance) Parse(string file, string text)
    {
        string[] words = text.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        bool scaled = words.Length > 3 && words[3].StartsWith("scale=", StringComparison.Ordinal);
        int reasonAt = scaled ? 4 : 3;
        if (words.Length <= reasonAt || words[1] is not ("abs" or "rel"))
        {
            throw new FormatException($"{file}: write '# tolerance: COLUMN abs|rel NUMBER [scale=NUMBER] reason', not '{text}'.");
        }

        double amount = double.Parse(words[2], CultureInfo.InvariantCulture);
        double scale = scaled ? double.Parse(words[3]["scale=".Length..], CultureInfo.InvariantCulture) : 0;
        return (words[0], new Tolerance(words[1] == "abs", amount, scale, string.Join(' ', words[reasonAt..])));
    }
}

/// <summary>One row of a vector file.</summary>
public sealed class VectorRow
{
    private readonly string file;
    private readonly int number;
    private readonly string[] columns;
    private readonly string[] cells;
    private readonly IReadOnlyDictionary<string, Tolerance> tolerances;

    internal VectorRow(string file, int number, string[] columns, string[] cells, IReadOnlyDictionary<string, Tolerance> tolerances)
    {
        this.file = file;
        this.number = number;
        this.columns = columns;
        this.cells = cells;
        this.tolerances = tolerances;
    }

    /// <summary>A number of the row.</summary>
    public double this[string column] => double.Parse(Word(column), NumberStyles.Float, CultureInfo.InvariantCulture);

    /// <summary>A cell as words.</summary>
    public string Word(string column)
    {
        int at = Array.IndexOf(columns, column);
        return at < 0 ? throw new FormatException($"{file} has no column {column}.") : cells[at].Trim();
    }

    /// <summary>Whether the cell holds something.</summary>
    public bool Has(string column) => Word(column).Length > 0;

    /// <summary>Fails when <paramref name="actual"/> is further from the expected column than its tolerance; an empty cell is not checked.</summary>
    public void Check(string column, double actual)
    {
        if (!Has(column))
        {
            return;
        }

        double expected = this[column];
        double width = tolerances[column].Width(expected);
        Assert.True(
            Math.Abs(actual - expected) <= width,
            $"{file} row {number}, {column}: expected {expected} ± {width}, got {actual.ToString("R", CultureInfo.InvariantCulture)}.");
    }

    /// <inheritdoc/>
    public override string ToString() => $"{file} row {number}: {string.Join(", ", columns.Zip(cells, (c, v) => $"{c}={v.Trim()}"))}";
}
