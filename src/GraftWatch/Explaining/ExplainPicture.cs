using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Explaining;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Explaining;

/// <summary>The hours as an SVG that reads on light and dark ground: temperatures with levels, sun on the union, bands of frost and gusts.</summary>
internal static class ExplainPicture
{
    private const double Width = 900;
    private const double Left = 52;
    private const double Right = 16;
    private const double TemperatureTop = 56;
    private const double TemperatureHeight = 220;
    private const double SunTop = 306;
    private const double SunHeight = 90;
    private const double BandTop = 420;
    private const double BandHeight = 14;
    private const double Height = 500;

    private const string Style =
        """
        <style>
        .g{fill:#fff}.t{fill:#222;font:12px sans-serif}.h{fill:#111;font:bold 14px sans-serif}.s{fill:#555;font:11px sans-serif}
        .a{stroke:#ccc;stroke-width:1}.air{stroke:#777}.bark{stroke:#b45309}.cambium{stroke:#b91c1c}.sun{fill:#d97706;opacity:.75}.sky{fill:#2563eb;opacity:.35}
        .act{stroke:#b91c1c;stroke-dasharray:6 4}.note{stroke:#a16207;stroke-dasharray:2 4}.zero{stroke:#1d4ed8;stroke-dasharray:6 4}
        .frost{fill:#1d4ed8}.gust{fill:#0f766e}.line{fill:none;stroke-width:1.8}.now{stroke:#222;stroke-width:1}
        @media (prefers-color-scheme:dark){.g{fill:#16181d}.t{fill:#e5e7eb}.h{fill:#f3f4f6}.s{fill:#a1a1aa}.a{stroke:#3f3f46}.air{stroke:#a1a1aa}
        .bark{stroke:#fbbf24}.cambium{stroke:#f87171}.sun{fill:#fbbf24}.sky{fill:#60a5fa}.act{stroke:#f87171}.note{stroke:#fde047}.zero{stroke:#60a5fa}
        .frost{fill:#60a5fa}.gust{fill:#2dd4bf}.now{stroke:#e5e7eb}}
        </style>
        """;

    internal static string Svg(ExplainedGraft graft)
    {
        var svg = new StringBuilder();
        svg.Append(CultureInfo.InvariantCulture, $"<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {Width} {Height}\" role=\"img\" aria-label=\"{Escape(Title(graft))}\">\n");
        svg.Append(Style).Append('\n');
        svg.Append(CultureInfo.InvariantCulture, $"<rect class=\"g\" width=\"{Width}\" height=\"{Height}\"/>\n");
        svg.Append(CultureInfo.InvariantCulture, $"<text class=\"h\" x=\"{Left}\" y=\"20\">{Escape(Title(graft))}</text>\n");
        Days(svg, graft);
        Temperatures(svg, graft);
        Sun(svg, graft);
        Band(svg, graft, "frost", "bud below 0 °C", BandTop, hour => graft.Hours.Union.BudC[hour] < 0);
        double act = graft.Request.Handbook.Thresholds.Number("wind.gust.act", SubjectOf(graft));
        Band(svg, graft, "gust", Format($"gust over {3.6 * act:0} km/h"), BandTop + 26, hour => graft.Hours.GustMPerS[hour] >= act);
        return svg.Append("</svg>\n").ToString();
    }

    private static string Title(ExplainedGraft graft)
    {
        Graft record = graft.Hours.Graft;
        return Format($"{record.Label}, {record.Species}, facing {record.AspectDeg:0}°, cover {record.Cover}, {graft.Hours.Place.Name}");
    }

    private static void Temperatures(StringBuilder svg, ExplainedGraft graft)
    {
        GraftHours hours = graft.Hours;
        IReadOnlyList<double> air = [.. Enumerable.Range(0, hours.Hours).Select(hour => ExplainColumn.All[0].Value(hours, hour))];
        double[] shown = [.. new[] { air, hours.Union.BarkC, hours.Union.CambiumC }.SelectMany(line => line.Skip(graft.First).Take(graft.Last - graft.First + 1)).Where(double.IsFinite)];
        if (shown.Length == 0)
        {
            svg.Append(CultureInfo.InvariantCulture, $"<text class=\"t\" x=\"{Left}\" y=\"{TemperatureTop + 40}\">No temperature could be computed.</text>\n");
            return;
        }

        double low = Math.Floor((shown.Min() - 2) / 5) * 5;
        double high = Math.Ceiling((shown.Max() + 2) / 5) * 5;
        double Y(double celsius) => TemperatureTop + (high - celsius) / (high - low) * TemperatureHeight;
        for (double mark = Math.Ceiling(low / 10) * 10; mark <= high; mark += 10)
        {
            svg.Append(CultureInfo.InvariantCulture, $"<line class=\"a\" x1=\"{Left}\" x2=\"{Width - Right}\" y1=\"{Y(mark):0.#}\" y2=\"{Y(mark):0.#}\"/><text class=\"s\" x=\"{Left - 8}\" y=\"{Y(mark) + 4:0.#}\" text-anchor=\"end\">{mark + 0.0:0} °C</text>\n");
        }

        Levels levels = graft.Request.Handbook.Thresholds.Levels("heat.cambium", SubjectOf(graft));
        foreach ((double value, string style, string words) in new[] { (levels.Act, "act", "heat: act"), (levels.Note, "note", "heat: note"), (0.0, "zero", "freezing") })
        {
            if (value > low && value < high)
            {
                svg.Append(CultureInfo.InvariantCulture, $"<line class=\"{style}\" x1=\"{Left}\" x2=\"{Width - Right}\" y1=\"{Y(value):0.#}\" y2=\"{Y(value):0.#}\"/><text class=\"s\" x=\"{Width - Right}\" y=\"{Y(value) - 4:0.#}\" text-anchor=\"end\">{words} {value:0} °C</text>\n");
            }
        }

        Line(svg, graft, "air", air, Y);
        Line(svg, graft, "bark", hours.Union.BarkC, Y);
        Line(svg, graft, "cambium", hours.Union.CambiumC, Y);
        double x = Left;
        foreach ((string style, string words) in new[] { ("air", "air"), ("bark", "outermost surface"), ("cambium", "cambium") })
        {
            svg.Append(CultureInfo.InvariantCulture, $"<line class=\"line {style}\" x1=\"{x}\" x2=\"{x + 22}\" y1=\"38\" y2=\"38\"/><text class=\"t\" x=\"{x + 28}\" y=\"42\">{words}</text>\n");
            x += 60 + 7 * words.Length;
        }
    }

    private static void Sun(StringBuilder svg, ExplainedGraft graft)
    {
        double Y(double watts) => SunTop + SunHeight - Math.Clamp(watts, 0, 1000) / 1000 * SunHeight;
        svg.Append(CultureInfo.InvariantCulture, $"<text class=\"t\" x=\"{Left}\" y=\"{SunTop - 6}\">Sun on the union, up to 1000 W/m² (direct, sky and ground)</text>\n");
        double step = Step(graft);
        for (int hour = graft.First; hour <= graft.Last; hour++)
        {
            double sky = graft.Hours.Union.DiffuseOnUnionWPerM2[hour];
            double beam = graft.Hours.Union.BeamOnUnionWPerM2[hour];
            double x = X(graft, hour) - step;
            if (sky > 0.5)
            {
                svg.Append(CultureInfo.InvariantCulture, $"<rect class=\"sky\" x=\"{x:0.##}\" y=\"{Y(sky):0.#}\" width=\"{step:0.##}\" height=\"{SunTop + SunHeight - Y(sky):0.#}\"/>");
            }

            if (beam > 0.5)
            {
                svg.Append(CultureInfo.InvariantCulture, $"<rect class=\"sun\" x=\"{x:0.##}\" y=\"{Y(sky + beam):0.#}\" width=\"{step:0.##}\" height=\"{Y(sky) - Y(sky + beam):0.#}\"/>");
            }
        }

        svg.Append(CultureInfo.InvariantCulture, $"\n<line class=\"a\" x1=\"{Left}\" x2=\"{Width - Right}\" y1=\"{SunTop + SunHeight}\" y2=\"{SunTop + SunHeight}\"/>\n");
    }

    private static void Band(StringBuilder svg, ExplainedGraft graft, string style, string words, double top, Func<int, bool> counts)
    {
        double step = Step(graft);
        int hits = 0;
        svg.Append(CultureInfo.InvariantCulture, $"<rect class=\"a\" fill=\"none\" x=\"{Left}\" y=\"{top}\" width=\"{Width - Right - Left}\" height=\"{BandHeight}\"/>");
        for (int hour = graft.First; hour <= graft.Last; hour++)
        {
            if (counts(hour))
            {
                hits++;
                svg.Append(CultureInfo.InvariantCulture, $"<rect class=\"{style}\" x=\"{X(graft, hour) - step:0.##}\" y=\"{top}\" width=\"{step + 0.3:0.##}\" height=\"{BandHeight}\"/>");
            }
        }

        svg.Append(CultureInfo.InvariantCulture, $"\n<text class=\"s\" x=\"{Left + 4}\" y=\"{top + BandHeight + 10}\">{words}: {hits} h</text>\n");
    }

    private static void Days(StringBuilder svg, ExplainedGraft graft)
    {
        var pattern = LocalDatePattern.CreateWithInvariantCulture("ddd d MMM");
        DateTimeZone zone = graft.Hours.Place.Zone;
        int days = (graft.Last - graft.First) / 24 + 1;
        int every = Math.Max(1, days / 10);
        int day = 0;
        for (int hour = graft.First; hour <= graft.Last; hour++)
        {
            LocalDateTime local = graft.Hours.EndOf(hour).InZone(zone).LocalDateTime;
            if (local.Hour != 1)
            {
                continue;
            }

            double x = X(graft, hour) - Step(graft);
            svg.Append(CultureInfo.InvariantCulture, $"<line class=\"a\" x1=\"{x:0.#}\" x2=\"{x:0.#}\" y1=\"{TemperatureTop}\" y2=\"{BandTop + 44}\"/>");
            if (day++ % every == 0)
            {
                svg.Append(CultureInfo.InvariantCulture, $"<text class=\"s\" x=\"{x + 3:0.#}\" y=\"{Height - 10}\">{pattern.Format(local.Date)}</text>\n");
            }
        }

        int now = graft.Hours.Weather.IndexOf(graft.Request.Now);
        if (now > graft.First && now < graft.Last)
        {
            double x = X(graft, now);
            svg.Append(CultureInfo.InvariantCulture, $"<line class=\"now\" x1=\"{x:0.#}\" x2=\"{x:0.#}\" y1=\"{TemperatureTop}\" y2=\"{BandTop + 44}\"/><text class=\"s\" x=\"{x + 3:0.#}\" y=\"{TemperatureTop + 10}\">ahead →</text>\n");
        }
    }

    private static void Line(StringBuilder svg, ExplainedGraft graft, string style, IReadOnlyList<double> values, Func<double, double> y)
    {
        var path = new StringBuilder();
        bool drawn = false;
        for (int hour = graft.First; hour <= graft.Last; hour++)
        {
            if (!double.IsFinite(values[hour]))
            {
                drawn = false;
                continue;
            }

            path.Append(CultureInfo.InvariantCulture, $"{(drawn ? 'L' : 'M')}{X(graft, hour):0.#} {y(values[hour]):0.#}");
            drawn = true;
        }

        svg.Append(CultureInfo.InvariantCulture, $"<path class=\"line {style}\" d=\"{path}\"/>\n");
    }

    private static double Step(ExplainedGraft graft) => (Width - Left - Right) / (graft.Last - graft.First + 1);

    private static double X(ExplainedGraft graft, int hour) => Left + (hour - graft.First + 1) * Step(graft);

    private static Subject SubjectOf(ExplainedGraft graft)
    {
        Graft record = graft.Hours.Graft;
        Stage stage = graft.Hours.Stage[graft.Last] ?? Stage.Set;
        return new Subject(record.Species, record.Technique, stage, record.Cover, record.Tie, record.Place);
    }

    private static string Format(FormattableString text) => FormattableString.Invariant(text);

    private static string Escape(string text) => System.Security.SecurityElement.Escape(text);
}
