using System.Globalization;
using System.Text;

namespace GraftWatch.Letters.Wording;

/// <summary>Makes text from registers, settings and servers safe to print on one line, in a header or on a terminal.</summary>
internal static class PlainWords
{
    /// <summary>Longest name printed. [code points]</summary>
    public const int NameLimit = 128;

    /// <summary>Longest sentence printed. [code points]</summary>
    public const int SentenceLimit = 1200;

    /// <summary>A name: one line, no controls, at most <see cref="NameLimit"/> code points.</summary>
    public static string Name(string? text) => OneLine(text, NameLimit);

    /// <summary>A sentence: one line, no controls, at most <see cref="SentenceLimit"/> code points.</summary>
    public static string Sentence(string? text) => OneLine(text, SentenceLimit);

    /// <summary>
    /// Replaces controls, line and paragraph separators, direction overrides and lone surrogates by a space, folds runs of
    /// spaces into one and cuts after <paramref name="limit"/> code points with an ellipsis.
    /// </summary>
    public static string OneLine(string? text, int limit)
    {
        if (string.IsNullOrEmpty(text))
        {
            return string.Empty;
        }

        var result = new StringBuilder(text.Length);
        int kept = 0;
        bool gap = false;
        foreach (Rune rune in text.EnumerateRunes())
        {
            if (rune.Value == ' ' || IsUnprintable(rune))
            {
                gap = result.Length > 0;
                continue;
            }

            if (kept >= limit)
            {
                return result.Append('…').ToString();
            }

            if (gap)
            {
                result.Append(' ');
                kept++;
                gap = false;
            }

            result.Append(rune.ToString());
            kept++;
        }

        return result.ToString();
    }

    private static bool IsUnprintable(Rune rune) =>
        rune == Rune.ReplacementChar
        || Rune.GetUnicodeCategory(rune) is UnicodeCategory.Control or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator
            or UnicodeCategory.SpaceSeparator or UnicodeCategory.Surrogate or UnicodeCategory.PrivateUse or UnicodeCategory.OtherNotAssigned
        || (Rune.GetUnicodeCategory(rune) == UnicodeCategory.Format && rune.Value is not (0x200C or 0x200D));
}
