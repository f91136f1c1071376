using System.Globalization;
using System.Text;
using GraftWatch.Letters.Picture;
using NodaTime;

namespace GraftWatch.Explaining;

/// <summary>Hours of one union as an SVG: temperatures with their levels, sun on the union, gusts against the strength, bands of hours.</summary>
/// <remarks>Colours come from classes, so that a page's stylesheet or the picture's own decides; text stays text.</remarks>
internal sealed record HoursPicture
{
    private const double Left = 46;
    private const double Right = 10;
    private const double LegendRow = 20;
    private const double LetterWidth = 6.6;
    private const double SmallLetterWidth = 6;
    private const double SmallLetterHeight = 10;
    private const double SunHeight = 56;
    private const double LoadHeight = 44;
    private const double BandHeight = 12;
    private const double FullSunWPerM2 = 1000;
    private const double MostLoad = 1.5;

    /// <summary>Name for readers who do not see it.</summary>
    internal required string Title { get; init; }

    /// <summary>What it shows, in a sentence or two, for readers who do not see it.</summary>
    internal required string Description { get; init; }

    /// <summary>A heading inside the picture; empty where the page has one.</summary>
    internal string Heading { get; init; } = string.Empty;

    /// <summary>A style sheet inside the picture; empty where the page has one.</summary>
    internal string Style { get; init; } = string.Empty;

    /// <summary>Width in points; the height follows from what is shown.</summary>
    internal required double Width { get; init; }

    /// <summary>Height of the temperatures in points.</summary>
    internal double TemperatureHeight { get; init; } = 180;

    /// <summary>Ends of the hours, one after the other.</summary>
    internal required IReadOnlyList<Instant> Ends { get; init; }

    /// <summary>Zone of the days.</summary>
    internal required DateTimeZone Zone { get; init; }

    /// <summary>The instant before which hours are past.</summary>
    internal required Instant Now { get; init; }

    /// <summary>Temperatures.</summary>
    internal required IReadOnlyList<PictureLine> Lines { get; init; }

    /// <summary>Levels of temperature.</summary>
    internal IReadOnlyList<PictureLevel> Levels { get; init; } = [];

    /// <summary>Light of sky and ground on the union. [W/m²]; empty to leave the sun out.</summary>
    internal IReadOnlyList<double> SkyWPerM2 { get; init; } = [];

    /// <summary>Direct sun on the union. [W/m²]</summary>
    internal IReadOnlyList<double> BeamWPerM2 { get; init; } = [];

    /// <summary>Load of the gust as a share of the union's strength. [-]; empty while there is no shoot.</summary>
    internal IReadOnlyList<double> LoadFrac { get; init; } = [];

    /// <summary>Hours that count.</summary>
    internal IReadOnlyList<PictureBand> Bands { get; init; } = [];

    /// <summary>The words of the picture.</summary>
    internal required PictureWords Words { get; init; }

    private double Step => (Width - Left - Right) / Ends.Count;

    /// <summary>The picture.</summary>
    internal string Svg()
    {
        double top = (Heading.Length > 0 ? 30 : 4) + LegendHeight() + 6;
        var body = new StringBuilder();
        double bottom = Temperatures(body, top);
        bottom = Sun(body, bottom);
        bottom = Load(body, bottom);
        bottom = AllBands(body, bottom);
        double height = bottom + 26;
        var svg = new StringBuilder();
        svg.Append(CultureInfo.InvariantCulture, $"<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"hours\" viewBox=\"0 0 {Width:0.#} {height:0.#}\" role=\"img\" aria-label=\"{Escape(Title)}\">\n");
        svg.Append(CultureInfo.InvariantCulture, $"<title>{Escape(Title)}</title><desc>{Escape(Description)}</desc>\n");
        svg.Append(Style);
        svg.Append(CultureInfo.InvariantCulture, $"<rect class=\"ground\" width=\"{Width:0.#}\" height=\"{height:0.#}\"/>\n");
        if (Heading.Length > 0)
        {
            svg.Append(CultureInfo.InvariantCulture, $"<text class=\"head\" x=\"{Left}\" y=\"20\">{Escape(Heading)}</text>\n");
        }

        Legend(svg);
        Days(svg, top, bottom);
        return svg.Append(body).Append("</svg>\n").ToString();
    }

    private double LegendHeight()
    {
        (_, double y) = (0.0, 0.0);
        foreach ((PictureLine _, _, double row) in LegendPlaces())
        {
            y = row;
        }

        return y + LegendRow;
    }

    private IEnumerable<(PictureLine Line, double X, double Row)> LegendPlaces()
    {
        (double x, double row) = (Left, 0);
        foreach (PictureLine line in Lines)
        {
            double width = 40 + (LetterWidth * line.Words.Length);
            if (x > Left && x + width > Width - Right)
            {
                (x, row) = (Left, row + LegendRow);
            }

            yield return (line, x, row);
            x += width;
        }
    }

    private void Legend(StringBuilder svg)
    {
        double top = Heading.Length > 0 ? 30 : 4;
        foreach ((PictureLine line, double x, double row) in LegendPlaces())
        {
            double y = top + row + 10;
            svg.Append(CultureInfo.InvariantCulture, $"<path class=\"line {line.Style}\" d=\"M{x:0.#} {y:0.#}h22\"/><text x=\"{x + 27:0.#}\" y=\"{y + 4:0.#}\">{Escape(line.Words)}</text>\n");
        }
    }

    private double Temperatures(StringBuilder svg, double top)
    {
        double bottom = top + TemperatureHeight;
        IEnumerable<double> shown = Lines.SelectMany(line => line.ValuesC).Concat(Levels.Where(level => level.IsAlwaysShown).Select(level => level.ValueC));
        if (!Lines.Any(line => line.ValuesC.Any(double.IsFinite)) || PictureScale.OfTemperatures(shown, top, TemperatureHeight) is not { } scale)
        {
            svg.Append(CultureInfo.InvariantCulture, $"<text x=\"{Left}\" y=\"{top + 40:0.#}\">{Escape(Words.Nothing)}</text>\n");
            return bottom;
        }

        foreach (double mark in scale.Marks(10))
        {
            svg.Append(CultureInfo.InvariantCulture, $"<path class=\"axis\" d=\"M{Left} {scale.Y(mark):0.#}H{Width - Right:0.#}\"/><text class=\"soft end\" x=\"{Left - 5}\" y=\"{scale.Y(mark) + 4:0.#}\">{Escape(Words.Temperature(mark))}</text>\n");
        }

        PictureLevel[] levels = [.. Levels.Where(level => scale.Holds(level.ValueC))];
        foreach (PictureLevel level in levels)
        {
            svg.Append(CultureInfo.InvariantCulture, $"<path class=\"{level.Style}\" d=\"M{Left} {scale.Y(level.ValueC):0.#}H{Width - Right:0.#}\"/>\n");
        }

        foreach (PictureLine line in Lines)
        {
            Line(svg, line, scale);
        }

        foreach (PictureLevel level in levels)
        {
            (double x, double y) = FreeSpot(level, scale, top, bottom);
            svg.Append(CultureInfo.InvariantCulture, $"<text class=\"soft\" x=\"{x:0.#}\" y=\"{y:0.#}\">{Escape(level.Words)}</text>\n");
        }

        return bottom;
    }

    /// <summary>Where the words of a level are least in the way of the lines: above or below it, from the right end to the left.</summary>
    private (double X, double Y) FreeSpot(PictureLevel level, PictureScale scale, double top, double bottom)
    {
        double width = SmallLetterWidth * level.Words.Length;
        double y = scale.Y(level.ValueC);
        (double X, double Y) best = (Width - Right - width, y - 4);
        int least = int.MaxValue;
        for (double x = best.X; x >= Left + 4 && least > 0; x -= 2 * Step)
        {
            foreach (double baseline in (ReadOnlySpan<double>)[y - 4, y + 12])
            {
                bool isInside = baseline - SmallLetterHeight >= top && baseline <= bottom;
                int hidden = Lines.Sum(line => HoursWithin(line, scale, x, x + width, baseline - SmallLetterHeight, baseline + 2));
                if (isInside && hidden < least)
                {
                    (best, least) = ((x, baseline), hidden);
                }
            }
        }

        return best;
    }

    // Steps of a line that touch a box, ends of the box a little wider.
    private int HoursWithin(PictureLine line, PictureScale scale, double left, double right, double top, double bottom)
    {
        int hours = 0;
        for (int i = 1; i < line.ValuesC.Count; i++)
        {
            if (X(i + 1) < left - 3 || X(i) > right + 3 || !double.IsFinite(line.ValuesC[i - 1]) || !double.IsFinite(line.ValuesC[i]))
            {
                continue;
            }

            (double from, double to) = (scale.Y(line.ValuesC[i - 1]), scale.Y(line.ValuesC[i]));
            hours += Math.Max(from, to) >= top && Math.Min(from, to) <= bottom ? 1 : 0;
        }

        return hours;
    }

    private void Line(StringBuilder svg, PictureLine line, PictureScale scale)
    {
        svg.Append(CultureInfo.InvariantCulture, $"<path class=\"line {line.Style}\" d=\"");
        bool drawn = false;
        for (int i = 0; i < line.ValuesC.Count; i++)
        {
            if (double.IsFinite(line.ValuesC[i]))
            {
                svg.Append(CultureInfo.InvariantCulture, $"{(drawn ? 'L' : 'M')}{X(i + 1):0.#} {scale.Y(line.ValuesC[i]):0.#}");
            }

            drawn = double.IsFinite(line.ValuesC[i]);
        }

        svg.Append("\"/>\n");
    }

    private double Sun(StringBuilder svg, double above)
    {
        if (BeamWPerM2.Count == 0)
        {
            return above;
        }

        double ground = above + 26 + SunHeight;
        svg.Append(CultureInfo.InvariantCulture, $"<text class=\"soft\" x=\"{Left}\" y=\"{above + 20:0.#}\">{Escape(Words.Sun)}</text>\n");
        Area(svg, "sun", ground, i => (Known(SkyWPerM2[i]) + Known(BeamWPerM2[i])) / FullSunWPerM2 * SunHeight, SunHeight);
        Area(svg, "sky", ground, i => Known(SkyWPerM2[i]) / FullSunWPerM2 * SunHeight, SunHeight);
        svg.Append(CultureInfo.InvariantCulture, $"<path class=\"axis\" d=\"M{Left} {ground:0.#}H{Width - Right:0.#}\"/>\n");
        return ground;
    }

    private double Load(StringBuilder svg, double above)
    {
        if (!LoadFrac.Any(share => double.IsFinite(share) && share > 0))
        {
            return above;
        }

        double ground = above + 26 + LoadHeight;
        double strength = ground - (LoadHeight / MostLoad);
        svg.Append(CultureInfo.InvariantCulture, $"<text class=\"soft\" x=\"{Left}\" y=\"{above + 20:0.#}\">{Escape(Words.Load)}</text>\n");
        Area(svg, "load", ground, i => Known(LoadFrac[i]) / MostLoad * LoadHeight, LoadHeight);
        svg.Append(CultureInfo.InvariantCulture, $"<path class=\"act\" d=\"M{Left} {strength:0.#}H{Width - Right:0.#}\"/><path class=\"axis\" d=\"M{Left} {ground:0.#}H{Width - Right:0.#}\"/>\n");
        return ground;
    }

    private void Area(StringBuilder svg, string style, double ground, Func<int, double> height, double most)
    {
        svg.Append(CultureInfo.InvariantCulture, $"<path class=\"{style}\" d=\"M{Left} {ground:0.#}");
        double last = 0;
        for (int i = 0; i < Ends.Count; i++)
        {
            double now = Math.Clamp(height(i), 0, most);
            if (Math.Abs(now - last) > 0.05)
            {
                svg.Append(CultureInfo.InvariantCulture, $"H{X(i):0.#}V{ground - now:0.#}");
                last = now;
            }
        }

        svg.Append(CultureInfo.InvariantCulture, $"H{Width - Right:0.#}V{ground:0.#}Z\"/>\n");
    }

    private double AllBands(StringBuilder svg, double above)
    {
        double bottom = above + 8;
        foreach (PictureBand band in Bands)
        {
            svg.Append(CultureInfo.InvariantCulture, $"<rect class=\"frame\" x=\"{Left}\" y=\"{bottom:0.#}\" width=\"{Width - Right - Left:0.#}\" height=\"{BandHeight}\"/>");
            for (int i = 0; i < Ends.Count; i++)
            {
                int from = i;
                while (i < Ends.Count && band.Counts[i])
                {
                    i++;
                }

                if (i > from)
                {
                    svg.Append(CultureInfo.InvariantCulture, $"<rect class=\"{band.Style}\" x=\"{X(from):0.#}\" y=\"{bottom:0.#}\" width=\"{X(i) - X(from):0.#}\" height=\"{BandHeight}\"/>");
                }
            }

            svg.Append(CultureInfo.InvariantCulture, $"\n<text class=\"soft\" x=\"{Left}\" y=\"{bottom + BandHeight + 13:0.#}\">{Escape(band.Words)}</text>\n");
            bottom += BandHeight + 22;
        }

        return bottom;
    }

    private void Days(StringBuilder svg, double top, double bottom)
    {
        int days = (Ends.Count / 24) + 1;
        double dayWidth = 24 * Step;
        int every = Math.Max(1, (int)Math.Ceiling(8 * LetterWidth / Math.Max(1, dayWidth)));
        every = Math.Max(every, days / 12);
        int day = 0;
        for (int i = 0; i < Ends.Count; i++)
        {
            LocalDateTime begins = (Ends[i] - Duration.FromHours(1)).InZone(Zone).LocalDateTime;
            if (begins.Hour != 0 && i > 0)
            {
                continue;
            }

            svg.Append(CultureInfo.InvariantCulture, $"<path class=\"axis\" d=\"M{X(i):0.#} {top:0.#}V{bottom:0.#}\"/>");
            if (day++ % every == 0 && (begins.Hour == 0 || 24 - begins.Hour >= 12))
            {
                svg.Append(CultureInfo.InvariantCulture, $"<text class=\"soft\" x=\"{X(i) + 3:0.#}\" y=\"{bottom + 16:0.#}\">{Escape(Words.Day(begins.Date))}</text>\n");
            }
        }

        int now = Ends.Count(end => end <= Now);
        if (now > 0 && now < Ends.Count)
        {
            bool isFarRight = X(now) > Width - 70;
            svg.Append(CultureInfo.InvariantCulture, $"<path class=\"now\" d=\"M{X(now):0.#} {top:0.#}V{bottom:0.#}\"/><text class=\"soft{(isFarRight ? " end" : string.Empty)}\" x=\"{X(now) + (isFarRight ? -3 : 3):0.#}\" y=\"{top + 10:0.#}\">{Escape(Words.Ahead)}</text>\n");
        }
    }

    private double X(int hour) => Left + (hour * Step);

    private static double Known(double value) => double.IsFinite(value) ? value : 0;

    private static string Escape(string text) => System.Security.SecurityElement.Escape(text);
}

/// <summary>A line of temperatures.</summary>
/// <param name="Style">Class.</param>
/// <param name="Words">What it is.</param>
/// <param name="ValuesC">One an hour. [°C]; NaN breaks the line.</param>
internal sealed record PictureLine(string Style, string Words, IReadOnlyList<double> ValuesC);

/// <summary>A level across the temperatures.</summary>
/// <param name="Style">Class.</param>
/// <param name="Words">What it is, with its value.</param>
/// <param name="ValueC">Where. [°C]; NaN for none.</param>
/// <param name="IsAlwaysShown">Whether the scale reaches up to it.</param>
internal sealed record PictureLevel(string Style, string Words, double ValueC, bool IsAlwaysShown = false);

/// <summary>Hours that count for something.</summary>
/// <param name="Style">Class.</param>
/// <param name="Words">What they count for.</param>
/// <param name="Counts">Whether each hour does.</param>
internal sealed record PictureBand(string Style, string Words, IReadOnlyList<bool> Counts);

/// <summary>The words of a picture.</summary>
/// <param name="Temperature">A temperature on the axis. [°C in]</param>
/// <param name="Day">A day under the picture.</param>
/// <param name="Sun">What the sun's area is.</param>
/// <param name="Load">What the area of gusts is.</param>
/// <param name="Ahead">Marks where the hours ahead begin.</param>
/// <param name="Nothing">Stands where no temperature could be computed.</param>
internal sealed record PictureWords(Func<double, string> Temperature, Func<LocalDate, string> Day, string Sun, string Load, string Ahead, string Nothing);
