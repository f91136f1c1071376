using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Html;
using GraftWatch.Letters.Wording;
using NodaTime;

namespace GraftWatch.Letters.Picture;

/// <summary>A picture and what it shows in words.</summary>
/// <param name="Png">PNG file.</param>
/// <param name="Words">Its content for readers who do not see it.</param>
internal sealed record RenderedPicture(byte[] Png, string Words);

/// <summary>Draws the next days at the worst union: cambium without and with the remedy, the level, hours of frost and gusts.</summary>
internal sealed class OutlookPicture
{
    private const int Left = 78;
    private const int Right = 24;
    private const int Top = 132;
    private const int Bottom = 78;
    private const int FirstRow = 46;
    private const int SecondRow = 80;
    private static readonly Ink Paper = Ink.Of(LetterStyle.Paper);
    private static readonly Ink Black = Ink.Of(LetterStyle.Ink);
    private static readonly Ink Soft = Ink.Of(LetterStyle.Soft);
    private static readonly Ink Rule = Ink.Of(LetterStyle.Rule);
    private static readonly Ink Warm = Ink.Of(LetterStyle.Urgent);
    private static readonly Ink Green = Ink.Of(LetterStyle.Today);
    private static readonly Ink Blue = Ink.Of(LetterStyle.Link);
    private readonly UnionOutlook outlook;
    private readonly UnitSystem units;
    private readonly DateTimeZone zone;
    private readonly Hours hours;
    private readonly Canvas canvas = new(780, 500, Paper);
    private readonly PictureScale scale;

    private OutlookPicture(UnionOutlook outlook, Round round)
    {
        this.outlook = outlook;
        units = round.Units;
        zone = round.Places.FirstOrDefault(p => p.Place.Name == outlook.Place)?.Place.Zone
            ?? (round.Places.Count > 0 ? round.Places[0].Place.Zone : DateTimeZone.Utc);
        hours = new Hours(round.Date, zone);
        scale = PictureScale.OfTemperatures(outlook.WithoutC.Concat(outlook.WithC).Append(outlook.HeatLevelC), Top, canvas.Height - Top - Bottom)!;
    }

    /// <summary>Draws the picture; null when there are too few hours to draw.</summary>
    public static RenderedPicture? Render(UnionOutlook outlook, Round round)
    {
        if (outlook.At.Count < 6 || outlook.WithoutC.Count != outlook.At.Count || outlook.WithoutC.Count(double.IsFinite) < 6
            || (outlook.WithC.Count != 0 && outlook.WithC.Count != outlook.At.Count))
        {
            return null;
        }

        var picture = new OutlookPicture(outlook, round);
        picture.Draw();
        return new RenderedPicture(picture.canvas.ToPng(), picture.Describe());
    }

    private void Draw()
    {
        Grid();
        Days();
        if (double.IsFinite(outlook.HeatLevelC))
        {
            double y = scale.Y(outlook.HeatLevelC);
            canvas.Line([(Left, y), (canvas.Width - Right, y)], 2.5, Black, dash: 4);
        }

        if (outlook.WithC.Count > 0)
        {
            canvas.Line(Points(outlook.WithC), 4, Green, dash: 14);
        }

        canvas.Line(Points(outlook.WithoutC), 5, Warm);
        Marks();
        Legend();
    }

    private void Grid()
    {
        foreach (double c in scale.Marks(scale.High - scale.Low > 25 ? 10 : 5))
        {
            int y = (int)Math.Round(scale.Y(c));
            canvas.Fill(Left, y, canvas.Width - Left - Right, 2, Rule);
            string words = Numbers.Digits(units == UnitSystem.UnitedStates ? (c * 1.8) + 32 : c, 0) + "°";
            canvas.Text(Left - 12 - Lettering.Set.Width(words), y - (Lettering.Set.LineHeight / 2), words, Soft);
        }
    }

    private void Days()
    {
        Instant first = outlook.At[0];
        Instant last = outlook.At[^1];
        for (LocalDate day = first.InZone(zone).Date; ; day = day.PlusDays(1))
        {
            Instant start = zone.AtStartOfDay(day).ToInstant();
            Instant end = zone.AtStartOfDay(day.PlusDays(1)).ToInstant();
            if (start >= last)
            {
                return;
            }

            if (start > first)
            {
                canvas.Fill((int)Math.Round(X(start)), Top, 2, canvas.Height - Top - Bottom, Rule);
            }

            string words = Hours.Short(day)[..3] + " " + day.Day.ToString(CultureInfo.InvariantCulture);
            double from = X(Instant.Max(start, first));
            double until = X(Instant.Min(end, last));
            int width = Lettering.Set.Width(words);
            if (until - from > width + 8)
            {
                canvas.Text((int)((from + until - width) / 2), canvas.Height - Bottom + 38, words, Soft);
            }
        }
    }

    /// <summary>Under the plot: a disc for an hour of frost, an upright stroke for an hour of gusts.</summary>
    private void Marks()
    {
        double y = canvas.Height - Bottom + 20;
        foreach (OutlookMark mark in outlook.Marks.Where(m => m.At >= outlook.At[0] && m.At <= outlook.At[^1]))
        {
            double x = X(mark.At);
            if (mark.Hazard == Hazard.Frost)
            {
                canvas.Disc(x, y, 6, Blue);
            }
            else if (mark.Hazard == Hazard.Wind)
            {
                canvas.Line([(x, y - 8), (x, y + 8)], 4, Black);
            }
        }
    }

    private void Legend()
    {
        canvas.Text(Left, 10, $"Cambium at {PlainWords.OneLine(outlook.Graft, 24)}, {PlainWords.OneLine(outlook.Place, 30)}", Black);
        int x = Entry(Left, FirstRow, "if nothing is done", (from, y) => canvas.Line([(from, y), (from + 34, y)], 5, Warm));
        if (outlook.WithC.Count > 0)
        {
            string remedy = outlook.Remedy.Length > 0 ? "with " + PlainWords.OneLine(outlook.Remedy, 24) : "with the work done";
            Entry(x, FirstRow, remedy, (from, y) => canvas.Line([(from, y), (from + 34, y)], 4, Green, dash: 14));
        }

        x = Left;
        if (double.IsFinite(outlook.HeatLevelC))
        {
            x = Entry(x, SecondRow, "level " + Numbers.Format(outlook.HeatLevelC, "°C", units), (from, y) => canvas.Line([(from, y), (from + 34, y)], 2.5, Black, dash: 4));
        }

        if (Count(Hazard.Frost) > 0)
        {
            x = Entry(x, SecondRow, "frost", (from, y) => canvas.Disc(from + 17, y, 6, Blue));
        }

        if (Count(Hazard.Wind) > 0)
        {
            Entry(x, SecondRow, "gusts", (from, y) => canvas.Line([(from + 17, y - 8), (from + 17, y + 8)], 4, Black));
        }
    }

    private int Entry(int x, int row, string words, Action<int, double> sample)
    {
        sample(x, row + (Lettering.Set.LineHeight / 2.0));
        canvas.Text(x + 44, row, words, Black);
        return x + 44 + Lettering.Set.Width(words) + 26;
    }

    private string Describe()
    {
        int peak = Enumerable.Range(0, outlook.At.Count).Where(i => double.IsFinite(outlook.WithoutC[i])).MaxBy(i => outlook.WithoutC[i]);
        string with = outlook.WithC.Count > 0 && outlook.WithC.Any(double.IsFinite)
            ? $", {Numbers.Format(outlook.WithC.Where(double.IsFinite).Max(), "°C", units)} with {(outlook.Remedy.Length > 0 ? PlainWords.Name(outlook.Remedy) : "the work done")}"
            : string.Empty;
        string level = double.IsFinite(outlook.HeatLevelC) ? $"; level {Numbers.Format(outlook.HeatLevelC, "°C", units)}" : string.Empty;
        string frost = Count(Hazard.Frost) is var f and > 0 ? $"; frost in {Numbers.Count(f, "hour", "hours")}" : string.Empty;
        string gusts = Count(Hazard.Wind) is var g and > 0 ? $"; gusts over their level in {Numbers.Count(g, "hour", "hours")}" : string.Empty;
        return $"Picture: cambium at {PlainWords.Name(outlook.Graft)} until {hours.At(outlook.At[^1])}: at most {Numbers.Format(outlook.WithoutC[peak], "°C", units)} "
            + $"({hours.At(outlook.At[peak])}) if nothing is done{with}{level}{frost}{gusts}.";
    }

    private int Count(Hazard hazard) => outlook.Marks.Count(m => m.Hazard == hazard && m.At >= outlook.At[0] && m.At <= outlook.At[^1]);

    private List<(double X, double Y)> Points(IReadOnlyList<double> valuesC) =>
        [.. valuesC.Select((v, i) => (X(outlook.At[i]), double.IsFinite(v) ? scale.Y(v) : double.NaN))];

    private double X(Instant at) =>
        Left + ((at - outlook.At[0]).TotalHours / Math.Max(1, (outlook.At[^1] - outlook.At[0]).TotalHours) * (canvas.Width - Left - Right));
}
