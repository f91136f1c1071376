using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Rounds.Replaying;
using NodaTime.Text;

namespace GraftWatch.Replaying;

/// <summary>A season as an SVG of days and hazards that reads on light and dark ground; two seasons stand one above the other.</summary>
internal static class SeasonPicture
{
    private const double Left = 90;
    private const double Width = 980;
    private const double RowHeight = 16;
    private static readonly Hazard?[] Rows = [Hazard.Heat, Hazard.Sun, Hazard.Drying, Hazard.Sap, Hazard.Wind, Hazard.Frost, Hazard.Wet, Hazard.ColdStall, null];

    private const string Style =
        """
        <style>
        .g{fill:#fff}.t{fill:#222;font:12px sans-serif}.h{fill:#111;font:bold 13px sans-serif}.none{fill:#eee}.note{fill:#fde68a}.act{fill:#f97316}.urgent{fill:#991b1b}
        @media (prefers-color-scheme:dark){.g{fill:#16181d}.t{fill:#e5e7eb}.h{fill:#f3f4f6}.none{fill:#27272a}.note{fill:#a16207}.act{fill:#fb923c}.urgent{fill:#fca5a5}}
        </style>
        """;

    internal static string Svg(SeasonResult first, SeasonResult? second)
    {
        double block = Rows.Length * RowHeight + 60;
        double height = block * (second is null ? 1 : 2) + 34;
        var svg = new StringBuilder();
        svg.Append(CultureInfo.InvariantCulture, $"<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {Width} {height}\" role=\"img\" aria-label=\"Letters of a season by day and hazard\">\n{Style}\n<rect class=\"g\" width=\"{Width}\" height=\"{height}\"/>\n");
        Block(svg, first, 10, second is null ? "Highest level of each day" : "A");
        if (second is not null)
        {
            Block(svg, second, 10 + block, "B");
        }

        double x = Left;
        foreach ((string style, string words) in new[] { ("none", "silent or fine"), ("note", "note"), ("act", "act"), ("urgent", "urgent") })
        {
            svg.Append(CultureInfo.InvariantCulture, $"<rect class=\"{style}\" x=\"{x}\" y=\"{height - 24}\" width=\"14\" height=\"14\"/><text class=\"t\" x=\"{x + 20}\" y=\"{height - 12}\">{words}</text>\n");
            x += 130;
        }

        return svg.Append("</svg>\n").ToString();
    }

    private static void Block(StringBuilder svg, SeasonResult season, double top, string title)
    {
        svg.Append(CultureInfo.InvariantCulture, $"<text class=\"h\" x=\"{Left}\" y=\"{top + 12}\">{title}</text>\n");
        double step = (Width - Left - 12) / Math.Max(1, season.Days.Count);
        var month = LocalDatePattern.CreateWithInvariantCulture("d MMM");
        for (int i = 0; i < season.Days.Count; i++)
        {
            if (i == 0 || season.Days[i].Date.Day == 1)
            {
                svg.Append(CultureInfo.InvariantCulture, $"<text class=\"t\" x=\"{Left + i * step:0.#}\" y=\"{top + 30}\">{month.Format(season.Days[i].Date)}</text>\n");
            }
        }

        for (int row = 0; row < Rows.Length; row++)
        {
            double y = top + 38 + row * RowHeight;
            svg.Append(CultureInfo.InvariantCulture, $"<text class=\"t\" x=\"8\" y=\"{y + 11}\">{SeasonText.Name(Rows[row])}</text>");
            for (int i = 0; i < season.Days.Count; i++)
            {
                Level level = season.Days[i].LevelOf(Rows[row]);
                svg.Append(CultureInfo.InvariantCulture, $"<rect class=\"{SeasonText.LevelName(level)}\" x=\"{Left + i * step:0.##}\" y=\"{y}\" width=\"{Math.Max(0.5, step - 0.6):0.##}\" height=\"{RowHeight - 2}\"/>");
            }

            svg.Append('\n');
        }
    }
}
