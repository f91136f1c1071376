using System.Globalization;
using System.Text;
using GraftWatch.Letters.Wording;

namespace GraftWatch.Letters.Outline;

/// <summary>Lays text out in columns.</summary>
/// <param name="width">Columns.</param>
internal sealed class TextLayout(int width)
{
    private readonly StringBuilder text = new();

    /// <summary>An empty line, never two.</summary>
    public TextLayout Blank()
    {
        if (text.Length > 0 && !(text.Length > 1 && text[^1] == '\n' && text[^2] == '\n'))
        {
            text.Append('\n');
        }

        return this;
    }

    /// <summary>A paragraph; further lines hang under the first by <paramref name="hang"/> columns.</summary>
    public TextLayout Paragraph(string words, string first = "", int? hang = null)
    {
        string indent = new(' ', hang ?? Columns(first));
        var line = new StringBuilder(first);
        int used = Columns(first);
        bool fresh = true;
        foreach (string word in words.Split(' ', StringSplitOptions.RemoveEmptyEntries).SelectMany(w => Pieces(w, width - indent.Length)))
        {
            int columns = Columns(word);
            if (!fresh && used + 1 + columns > width)
            {
                text.Append(line.ToString().TrimEnd()).Append('\n');
                line.Clear().Append(indent);
                used = indent.Length;
                fresh = true;
            }

            line.Append(fresh ? string.Empty : " ").Append(word);
            used += columns + (fresh ? 0 : 1);
            fresh = false;
        }

        text.Append(line.ToString().TrimEnd()).Append('\n');
        return this;
    }

    /// <summary>A line kept whole whatever its length: links must not be broken.</summary>
    public TextLayout Whole(string line)
    {
        text.Append(line).Append('\n');
        return this;
    }

    /// <summary>The text, ending in one line end.</summary>
    public override string ToString() => text.ToString().TrimEnd('\n').Replace(Numbers.Glue, ' ') + "\n";

    private static IEnumerable<string> Pieces(string word, int room)
    {
        if (Columns(word) <= room)
        {
            yield return word;
            yield break;
        }

        var piece = new StringBuilder();
        int used = 0;
        foreach (Rune rune in word.EnumerateRunes())
        {
            int columns = Columns(rune);
            if (used + columns > room)
            {
                yield return piece.ToString();
                piece.Clear();
                used = 0;
            }

            piece.Append(rune.ToString());
            used += columns;
        }

        yield return piece.ToString();
    }

    /// <summary>Columns a text takes in a terminal or a mail program with even letters.</summary>
    public static int Columns(string words) => words.EnumerateRunes().Sum(Columns);

    private static int Columns(Rune rune) => Rune.GetUnicodeCategory(rune) switch
    {
        UnicodeCategory.NonSpacingMark or UnicodeCategory.EnclosingMark or UnicodeCategory.Format => 0,
        _ when rune.Value is >= 0x1100 and <= 0x115F or >= 0x2E80 and <= 0xA4CF or >= 0xAC00 and <= 0xD7A3 or >= 0xF900 and <= 0xFAFF
            or >= 0xFE30 and <= 0xFE6F or >= 0xFF00 and <= 0xFF60 or >= 0xFFE0 and <= 0xFFE6 or >= 0x1F300 => 2,
        _ => 1,
    };

    /// <summary>Lays a whole letter out.</summary>
    public static string Of(LetterOutline outline, int width)
    {
        var layout = new TextLayout(width);
        layout.Paragraph(outline.Title + (outline.Places.Length > 0 ? ", " + outline.Places : string.Empty));
        layout.Paragraph(outline.Number);
        layout.Blank().Paragraph(outline.Lead);
        if (outline.Weather.Length > 0)
        {
            layout.Paragraph(outline.Weather);
        }

        if (outline.Work.Count > 0)
        {
            layout.Blank().Paragraph("WORK");
            int indent = outline.Work.Count.ToString(CultureInfo.InvariantCulture).Length + 2;
            foreach (WorkBlock block in outline.Work)
            {
                layout.Blank();
                layout.Work(block, indent);
            }
        }

        foreach (OutlineSection section in outline.Sections)
        {
            layout.Blank().Paragraph(section.Title.ToUpperInvariant()).Blank();
            foreach (string line in section.Lines)
            {
                layout.Paragraph(line, "- ");
            }
        }

        layout.Blank().Paragraph("---");
        foreach (ClosingLine line in outline.Closing)
        {
            layout.Paragraph(line.Words);
            if (line.Link is { } link)
            {
                layout.Whole("  " + link.AbsoluteUri);
            }
        }

        return layout.ToString();
    }

    private void Work(WorkBlock block, int indent)
    {
        string margin = new(' ', indent);
        int factColumn = indent + 8;
        string number = string.Create(CultureInfo.InvariantCulture, $"{block.Number}. ").PadLeft(indent);
        Paragraph($"{Words.Of(block.Pressing).ToUpperInvariant()}: {block.Headline}", number, indent);
        foreach (Fact fact in block.Facts)
        {
            Paragraph(fact.Words, (margin + fact.Name).PadRight(factColumn), factColumn);
        }

        foreach (ReasonLine reason in block.Reasons)
        {
            Paragraph(Sentence(reason), new string(' ', factColumn), factColumn);
        }

        foreach (Fact need in block.Needs)
        {
            Paragraph(need.Words, (margin + need.Name).PadRight(factColumn), factColumn);
        }

        if (block.Links is { } links)
        {
            Paragraph("Mark it (each link shows a page with one button):", margin);
            Whole(margin + "Done        " + links.Done.AbsoluteUri);
            Whole(margin + "Put off     " + links.PutOff.AbsoluteUri);
            Whole(margin + "Not needed  " + links.NotNeeded.AbsoluteUri);
        }
    }

    /// <summary>A number as the text says it.</summary>
    public static string Sentence(ReasonLine reason) =>
        $"{reason.Quantity}, {reason.At}: "
        + (reason.With is { } with ? $"{reason.Without} without, {with} with" : reason.Without)
        + $"; level {reason.Level}.";
}
