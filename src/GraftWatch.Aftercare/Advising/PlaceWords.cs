using System.Globalization;

namespace GraftWatch.Aftercare.Advising;

/// <summary>How many unions, where, and which way they face.</summary>
internal static class PlaceWords
{
    private static readonly string[] Sectors = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];

    /// <summary>"the 7 unions", "the union".</summary>
    internal static string Unions(int count, string adjective = "") =>
        count == 1 ? $"the {adjective}union" : string.Create(CultureInfo.InvariantCulture, $"the {count} {adjective}unions");

    /// <summary>Fills a sentence: <c>{0}</c> the unions, <c>{1}</c> "it" or "them", <c>{2}</c> "its cover" or "their covers", <c>{3}</c> "cover" or "covers", <c>{4}</c> "stock" or "stocks", <c>{5}</c> the hour, at the end where the sentence has no place for it.</summary>
    internal static string Fill(string sentence, string unions, int count, string hour = "")
    {
        string whole = sentence.Contains("{5}", StringComparison.Ordinal) ? sentence : sentence + "{5}";
        return count == 1
            ? string.Format(CultureInfo.InvariantCulture, whole, unions, "it", "its cover", "cover", "stock", hour)
            : string.Format(CultureInfo.InvariantCulture, whole, unions, "them", "their covers", "covers", "stocks", hour);
    }

    /// <summary>"south-facing " when all face within one sector, else empty.</summary>
    internal static string Facing(IReadOnlyList<GraftView> views)
    {
        int sector = Sector(views[0].Graft.AspectDeg);
        return views.All(view => Sector(view.Graft.AspectDeg) == sector) ? Sectors[sector] + "-facing " : string.Empty;
    }

    /// <summary>"Block B, row 2", "Blocks A and B", "Old orchard", "6 blocks"; empty when the grower names none.</summary>
    internal static string Where(IReadOnlyList<GraftView> views)
    {
        string[] blocks = [.. views.Select(view => view.Graft.Block).Where(block => block.Length > 0).Distinct(StringComparer.Ordinal)];
        string[] rows = [.. views.Select(view => view.Graft.Row).Where(row => row.Length > 0).Distinct(StringComparer.Ordinal)];
        string block = blocks.Length switch
        {
            0 => string.Empty,
            1 => Named("Block", blocks[0]),
            <= 3 => Array.TrueForAll(blocks, IsCode) ? "Blocks " + List(blocks) : List(blocks),
            _ => string.Create(CultureInfo.InvariantCulture, $"{blocks.Length} blocks"),
        };
        string row = rows.Length == 1 && blocks.Length <= 1 ? Named(block.Length > 0 ? "row" : "Row", rows[0]) : string.Empty;
        return block.Length > 0 && row.Length > 0 ? block + ", " + row : block + row;
    }

    /// <summary>"a, b and c".</summary>
    internal static string List(IReadOnlyList<string> words) => words.Count switch
    {
        0 => string.Empty,
        1 => words[0],
        _ => string.Join(", ", words.Take(words.Count - 1)) + " and " + words[^1],
    };

    // "B" needs its kind said, "Old orchard" does not.
    private static string Named(string kind, string name) => IsCode(name) ? kind + " " + name : name;

    private static bool IsCode(string name) => name.Length <= 3;

    private static int Sector(double aspectDeg) => (int)Math.Round(aspectDeg / 45) % 8;
}
