using System.Globalization;
using System.Net;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Explaining;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Rounds.Replaying;
using NodaTime.Text;

namespace GraftWatch.Replaying;

/// <summary>A season as a picture of days and hazards that reads on light and dark ground, and as a page with its counts; two seasons stand one above the other.</summary>
/// <remarks>Every cell carries its level's letter, so that colour is not the only sign, and says its day and hazard when pointed at.</remarks>
internal static class SeasonPicture
{
    private const double Left = 90;
    private const double LeastWidth = 980;
    private const double LeastStep = 11;
    private const double RowHeight = 18;

    private const string Style =
        """
        <style>
        svg .g{fill:#fff}svg .t{fill:#222;font:12px sans-serif}svg .h{fill:#111;font:bold 13px sans-serif}
        svg .none{fill:#eee}svg .note{fill:#fde68a}svg .act{fill:#f97316}svg .urgent{fill:#991b1b}
        svg .l{font:bold 10px sans-serif;text-anchor:middle}svg .lnone{fill:#767676}svg .lnote,svg .lact{fill:#111}svg .lurgent{fill:#fff}
        @media (prefers-color-scheme:dark){svg .g{fill:#16181d}svg .t{fill:#e5e7eb}svg .h{fill:#f3f4f6}svg .none{fill:#27272a}svg .note{fill:#a16207}svg .act{fill:#fb923c}svg .urgent{fill:#fca5a5}
        svg .lnone{fill:#a1a1aa}svg .lnote{fill:#fff}svg .lact,svg .lurgent{fill:#111}}
        </style>
        """;

    private const string PageStyle =
        """
        <style>
        :root{color-scheme:light dark}
        body{font:16px/1.5 system-ui,sans-serif;margin:1.5rem auto;padding:0 1rem;max-width:75rem;background:#fff;color:#1c1c1c}
        figure{margin:0;overflow-x:auto}svg{display:block;min-width:60rem;width:100%;height:auto}
        .wide{overflow-x:auto}table{border-collapse:collapse;font-variant-numeric:tabular-nums;margin:.5rem 0 1.5rem}
        th,td{padding:.2rem .8rem;text-align:right;border-bottom:1px solid #ccc}th:first-child,td:last-child{text-align:left}
        @media (prefers-color-scheme:dark){body{background:#16181d;color:#e5e7eb}th,td{border-color:#3f3f46}}
        </style>
        """;

    private static readonly LocalDatePattern Month = LocalDatePattern.CreateWithInvariantCulture("d MMM");

    /// <summary>A page that reads in any browser, without a program and without a network.</summary>
    /// <param name="seasons">One season or two, with what each is called.</param>
    internal static string Html(IReadOnlyList<(string Name, SeasonResult Season)> seasons)
    {
        IReadOnlyList<SeasonDay> days = seasons[0].Season.Days;
        string span = days.Count == 0 ? "no days" : $"{LocalDatePattern.Iso.Format(days[0].Date)} to {LocalDatePattern.Iso.Format(days[^1].Date)}";
        var page = new StringBuilder();
        page.Append(CultureInfo.InvariantCulture, $"<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>Letters of a season, {span}</title>\n{PageStyle}\n</head>\n<body>\n");
        page.Append(CultureInfo.InvariantCulture, $"<h1>Letters of a season, {span}</h1>\n<figure>\n{Svg(seasons)}</figure>\n");
        foreach ((string name, SeasonResult season) in seasons)
        {
            Table(page, name, season);
        }

        page.Append(CultureInfo.InvariantCulture, $"<p>{SeasonText.FrostNote.TrimEnd()} Forecast hours are the ones that came: a real forecast would have been less right. Temperatures at the unions are estimates.</p>\n</body>\n</html>\n");
        return page.ToString();
    }

    /// <summary>The picture alone.</summary>
    /// <param name="seasons">One season or two, with what each is called.</param>
    internal static string Svg(IReadOnlyList<(string Name, SeasonResult Season)> seasons)
    {
        double width = Math.Max(LeastWidth, Left + 12 + (LeastStep * seasons[0].Season.Days.Count));
        double block = (SeasonText.Rows.Length * RowHeight) + 60;
        double height = (block * seasons.Count) + 34;
        var svg = new StringBuilder();
        svg.Append(CultureInfo.InvariantCulture, $"<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"img\" aria-label=\"Letters of a season by day and hazard\">\n{Style}\n<rect class=\"g\" width=\"{width}\" height=\"{height}\"/>\n");
        for (int i = 0; i < seasons.Count; i++)
        {
            Block(svg, seasons[i].Season, 10 + (i * block), width, seasons[i].Name);
        }

        double x = Left;
        foreach ((Level level, string words) in new[] { (Level.None, "silent or fine"), (Level.Note, "note"), (Level.Act, "act"), (Level.Urgent, "urgent") })
        {
            Cell(svg, level, x, height - 26, 16, string.Empty);
            svg.Append(CultureInfo.InvariantCulture, $"<text class=\"t\" x=\"{x + 22}\" y=\"{height - 13}\">{words}</text>\n");
            x += 130;
        }

        return svg.Append("</svg>\n").ToString();
    }

    private static void Block(StringBuilder svg, SeasonResult season, double top, double width, string title)
    {
        svg.Append(CultureInfo.InvariantCulture, $"<text class=\"h\" x=\"{Left}\" y=\"{top + 12}\">{WebUtility.HtmlEncode(title)}</text>\n");
        double step = Math.Min(28, (width - Left - 12) / Math.Max(1, season.Days.Count));
        for (int i = 0; i < season.Days.Count; i++)
        {
            if (i == 0 || season.Days[i].Date.Day == 1)
            {
                svg.Append(CultureInfo.InvariantCulture, $"<text class=\"t\" x=\"{Left + (i * step):0.#}\" y=\"{top + 30}\">{Month.Format(season.Days[i].Date)}</text>\n");
            }
        }

        for (int row = 0; row < SeasonText.Rows.Length; row++)
        {
            Hazard? hazard = SeasonText.Rows[row];
            double y = top + 38 + (row * RowHeight);
            svg.Append(CultureInfo.InvariantCulture, $"<text class=\"t\" x=\"8\" y=\"{y + 12}\">{SeasonText.Name(hazard)}</text>\n");
            for (int i = 0; i < season.Days.Count; i++)
            {
                Level level = season.Days[i].LevelOf(hazard);
                string words = $"{LocalDatePattern.Iso.Format(season.Days[i].Date)}, {SeasonText.Name(hazard)}: {(level == Level.None ? "silent or fine" : SeasonText.LevelName(level))}";
                Cell(svg, level, Left + (i * step), y, step, words);
            }
        }
    }

    private static void Cell(StringBuilder svg, Level level, double x, double y, double step, string words)
    {
        string name = SeasonText.LevelName(level);
        double width = Math.Max(0.5, step - 0.6);
        svg.Append(CultureInfo.InvariantCulture, $"<g>{(words.Length > 0 ? $"<title>{words}</title>" : string.Empty)}<rect class=\"{name}\" x=\"{x:0.##}\" y=\"{y}\" width=\"{width:0.##}\" height=\"{RowHeight - 2}\"/>");
        svg.Append(CultureInfo.InvariantCulture, $"<text class=\"l l{name}\" x=\"{x + (width / 2):0.##}\" y=\"{y + 12}\">{SeasonText.Mark(level)}</text></g>\n");
    }

    private static void Table(StringBuilder page, string name, SeasonResult season)
    {
        page.Append(CultureInfo.InvariantCulture, $"<h2>{WebUtility.HtmlEncode(name)}</h2>\n<p>{season.Days.Sum(SeasonText.Minutes) / 60:0.0} hours of work advised in {season.Days.Sum(day => day.Advice.Count(advice => advice.Level >= Level.Act))} lines.</p>\n");
        page.Append("<div class=\"wide\"><table>\n<thead><tr><th scope=\"col\">hazard</th><th scope=\"col\">days note</th><th scope=\"col\">days act</th><th scope=\"col\">days urgent</th><th scope=\"col\">felt at note</th><th scope=\"col\">felt at act</th><th scope=\"col\">felt at urgent</th><th scope=\"col\">counted in</th></tr></thead>\n<tbody>\n");
        foreach (Hazard? row in SeasonText.Rows)
        {
            page.Append(CultureInfo.InvariantCulture, $"<tr><th scope=\"row\">{SeasonText.Name(row)}</th>");
            foreach (Level level in SeasonText.Pressing)
            {
                page.Append(CultureInfo.InvariantCulture, $"<td>{season.Days.Count(day => day.LevelOf(row) == level)}</td>");
            }

            HazardExposure? felt = row is { } hazard ? SeasonText.Sum(season.Days, hazard) : null;
            foreach (Level level in SeasonText.Pressing)
            {
                page.Append(CultureInfo.InvariantCulture, $"<td>{(felt is null ? string.Empty : felt.At(level).ToString("0", CultureInfo.InvariantCulture))}</td>");
            }

            page.Append(CultureInfo.InvariantCulture, $"<td>{(felt is null ? string.Empty : SeasonText.UnitOf(felt))}</td></tr>\n");
        }

        page.Append("</tbody>\n</table></div>\n");
    }
}
