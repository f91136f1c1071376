using System.Text;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Register;

namespace GraftWatch.Pages.Grafts;

/// <summary>Keeps a spreadsheet from taking a grower's words for a formula.</summary>
/// <remarks>
/// A cell of free words that begins with one of <c>= + - @</c>, a tab or a line end gets an apostrophe before it in the files the
/// pages hand out; the page's upload takes that apostrophe away again. The <c>export</c> command writes bytes as they are.
/// </remarks>
internal static class FormulaCells
{
    private const string Starts = "=+-@\t\r\n";

    /// <summary>The register as a file that may be opened in a spreadsheet.</summary>
    internal static byte[] File(IEnumerable<Graft> grafts) => Encoding.UTF8.GetBytes(RegisterCsv.Write(grafts.Select(Guard)));

    /// <summary>The record as it may lie in a spreadsheet.</summary>
    internal static Graft Guard(Graft graft) => Each(graft, GuardCell);

    /// <summary>The record as the grower wrote it.</summary>
    internal static Graft Unguard(Graft graft) => Each(graft, UnguardCell);

    /// <summary>A cell as it may lie in a spreadsheet.</summary>
    internal static string GuardCell(string cell)
    {
        // The register's writer trims cells; what stands first after that counts.
        string written = cell.Trim();
        return IsGuarded(written) || (written.Length > 0 && Starts.Contains(written[0], StringComparison.Ordinal)) ? "'" + written : cell;
    }

    /// <summary>The cell before it was guarded.</summary>
    internal static string UnguardCell(string cell) => IsGuarded(cell) ? cell[1..] : cell;

    // An apostrophe of the grower's own before such a sign is guarded too, so that taking one away always gives the first words.
    private static bool IsGuarded(string cell)
    {
        int quotes = cell.AsSpan().IndexOfAnyExcept('\'');
        return quotes > 0 && Starts.Contains(cell[quotes], StringComparison.Ordinal);
    }

    private static Graft Each(Graft graft, Func<string, string> cell) => graft with
    {
        Label = cell(graft.Label),
        Place = cell(graft.Place),
        Block = cell(graft.Block),
        Row = cell(graft.Row),
        Tree = cell(graft.Tree),
        Scion = cell(graft.Scion),
        Stock = cell(graft.Stock),
        Notes = cell(graft.Notes),
    };
}
