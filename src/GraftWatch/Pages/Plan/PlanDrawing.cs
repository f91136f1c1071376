using System.Globalization;
using System.Text;
using GraftWatch.Pages.Rendering;

namespace GraftWatch.Pages.Plan;

/// <summary>Draws a plan as SVG: north is up, a tree is a ring, a union a wedge on the side it faces, filled while work is due.</summary>
internal static class PlanDrawing
{
    private const double Cell = 46;
    private const double RowHeight = 62;
    private const double Left = 70;
    private const double Top = 112;
    private const double Rose = 34;

    /// <summary>The drawing.</summary>
    /// <param name="trees">Trees shown, in walking order.</param>
    /// <param name="sun">Where the sun stands; null for none.</param>
    /// <param name="words">Its words.</param>
    internal static string Svg(IReadOnlyList<PlanTree> trees, WorstSun? sun, PlanWords words)
    {
        List<(string Row, List<PlanTree> Trees)> rows = [];
        foreach (PlanTree tree in trees)
        {
            if (rows.Count == 0 || rows[^1].Row != tree.Row)
            {
                rows.Add((tree.Row, []));
            }

            rows[^1].Trees.Add(tree);
        }

        double width = Math.Max(370, Left + (Cell * rows.Select(row => row.Trees.Count).DefaultIfEmpty(0).Max()) + 12);
        double height = Top + (RowHeight * rows.Count) + 8;
        var svg = new StringBuilder();
        svg.Append(CultureInfo.InvariantCulture, $"<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"plan\" width=\"{width:0}\" height=\"{height:0}\" viewBox=\"0 0 {width:0} {height:0}\" role=\"img\" aria-label=\"{Html.Encode(words.Title)}\">\n");
        svg.Append(CultureInfo.InvariantCulture, $"<title>{Html.Encode(words.Title)}</title><desc>{Html.Encode(words.Description)}</desc>\n");
        svg.Append("<defs><path id=\"faces\" d=\"M0 -9L-8 -21A22 22 0 0 1 8 -21Z\"/></defs>\n");
        Compass(svg, sun, words);
        for (int i = 0; i < rows.Count; i++)
        {
            double y = Top + (RowHeight * i) + 24;
            svg.Append(CultureInfo.InvariantCulture, $"<text class=\"soft\" x=\"4\" y=\"{y + 4:0}\">{Html.Encode(Short(rows[i].Row.Length > 0 ? words.RowName(rows[i].Row) : words.NoRow, 11))}</text>\n");
            for (int j = 0; j < rows[i].Trees.Count; j++)
            {
                Tree(svg, rows[i].Trees[j], Left + (Cell * j) + (Cell / 2), y);
            }
        }

        return svg.Append("</svg>\n").ToString();
    }

    private static void Tree(StringBuilder svg, PlanTree tree, double x, double y)
    {
        svg.Append(CultureInfo.InvariantCulture, $"<circle class=\"stem\" cx=\"{x:0}\" cy=\"{y:0}\" r=\"10\"/>");
        foreach (PlanUnion union in tree.Unions)
        {
            svg.Append(CultureInfo.InvariantCulture, $"<use href=\"#faces\"{(union.HasWork ? " class=\"due\"" : string.Empty)} transform=\"translate({x:0} {y:0})rotate({union.AspectDeg:0.#})\"/>");
        }

        string name = tree.Tree.Length > 0 ? tree.Tree : tree.Unions[0].Label;
        svg.Append(CultureInfo.InvariantCulture, $"<text class=\"middle\" x=\"{x:0}\" y=\"{y + 34:0}\">{Html.Encode(Short(name, 7))}</text>\n");
    }

    private static void Compass(StringBuilder svg, WorstSun? sun, PlanWords words)
    {
        const double X = 46;
        const double Y = 52;
        svg.Append(CultureInfo.InvariantCulture, $"<circle class=\"rose\" cx=\"{X}\" cy=\"{Y}\" r=\"{Rose}\"/><path class=\"north\" d=\"M{X} {Y + 20}V{Y - 26}M{X - 6} {Y - 16}L{X} {Y - 28}L{X + 6} {Y - 16}\"/>");
        svg.Append(CultureInfo.InvariantCulture, $"<text class=\"middle head\" x=\"{X}\" y=\"{Y - Rose - 6}\">{Html.Encode(words.North)}</text>\n");
        if (sun is null)
        {
            svg.Append(CultureInfo.InvariantCulture, $"<text x=\"100\" y=\"{Y + 4}\">{Html.Encode(words.NoSun)}</text>\n");
            return;
        }

        svg.Append(CultureInfo.InvariantCulture, $"<g transform=\"translate({X} {Y})rotate({sun.AzimuthDeg:0.#})\"><path class=\"ray\" d=\"M0 -{Rose - 9}V-6M-4 -12L0 -5L4 -12\"/><circle class=\"sun\" cy=\"-{Rose}\" r=\"8\"/></g>");
        for (int i = 0; i < words.SunLines.Count; i++)
        {
            svg.Append(CultureInfo.InvariantCulture, $"<text x=\"100\" y=\"{Y - 12 + (20 * i)}\">{Html.Encode(words.SunLines[i])}</text>\n");
        }
    }

    private static string Short(string text, int most) => text.Length <= most ? text : text[..(most - 1)] + "…";
}

/// <summary>The words of a plan.</summary>
/// <param name="Title">Name for readers who do not see it.</param>
/// <param name="Description">What it shows.</param>
/// <param name="North">The letter at the arrow.</param>
/// <param name="RowName">A row.</param>
/// <param name="NoRow">Trees without a row.</param>
/// <param name="SunLines">Where the sun stands, line by line.</param>
/// <param name="NoSun">Stands there where no hour is known.</param>
internal sealed record PlanWords(string Title, string Description, string North, Func<string, string> RowName, string NoRow, IReadOnlyList<string> SunLines, string NoSun);
