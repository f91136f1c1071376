using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Outline;
using GraftWatch.Letters.Wording;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Letters.Channels;

/// <summary>A round in few words, for phones and rooms.</summary>
public static class ShortText
{
    /// <summary>The subject, then one line a piece of work, most pressing first, cut at whole lines to a number of bytes.</summary>
    /// <param name="round">What to say.</param>
    /// <param name="kind">Morning letter or urgent note.</param>
    /// <param name="limitBytes">Longest text. [bytes of UTF-8], at least 160.</param>
    public static string Of(Round round, LetterKind kind, int limitBytes)
    {
        ArgumentNullException.ThrowIfNull(round);
        ArgumentOutOfRangeException.ThrowIfLessThan(limitBytes, 160);
        var lines = new List<string> { SubjectLine.For(round, kind) };
        LetterOutline outline = OutlineBuilder.Build(round, LetterContext.Terminal);
        lines.AddRange(outline.Work.Select(w => $"{Words.Of(w.Pressing)}: {w.Headline}"));
        lines.AddRange(outline.Sections
            .Where(s => s.Title == SectionBuilder.NotCheckedTitle).SelectMany(s => s.Lines));
        for (int kept = lines.Count; kept > 1; kept--)
        {
            string more = kept == lines.Count ? string.Empty : string.Create(CultureInfo.InvariantCulture, $"\n… {lines.Count - kept} more");
            string text = (string.Join('\n', lines.Take(kept)) + more).Replace(Numbers.Glue, ' ');
            if (Encoding.UTF8.GetByteCount(text) <= limitBytes)
            {
                return text;
            }
        }

        string head = lines.Count > 1 ? lines[0] + string.Create(CultureInfo.InvariantCulture, $"\n… {lines.Count - 1} more") : lines[0];
        return Cut(head, limitBytes);
    }

    private static string Cut(string text, int limitBytes)
    {
        var kept = new StringBuilder();
        int used = 0;
        foreach (Rune rune in text.EnumerateRunes())
        {
            used += rune.Utf8SequenceLength;
            if (used > limitBytes)
            {
                break;
            }

            kept.Append(rune.ToString());
        }

        return kept.ToString();
    }
}
