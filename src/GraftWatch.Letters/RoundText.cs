using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Outline;

namespace GraftWatch.Letters;

/// <summary>A round as plain text: what the terminal prints and the text part of the letter.</summary>
public static class RoundText
{
    /// <summary>Columns of the text; only links may be longer.</summary>
    public const int Width = 72;

    /// <summary>Renders for a terminal.</summary>
    public static string Render(Round round) => Render(round, LetterContext.Terminal);

    /// <summary>Renders with what the letter knows besides the round. Lines end in LF.</summary>
    public static string Render(Round round, LetterContext context) => TextLayout.Of(OutlineBuilder.Build(round, context), Width);
}
