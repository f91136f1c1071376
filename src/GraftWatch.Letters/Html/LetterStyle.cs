using GraftWatch.Letters.Outline;

namespace GraftWatch.Letters.Html;

/// <summary>The letter's look: paper, ink and one mark a level. Contrast of every pair is tested in both schemes.</summary>
internal static class LetterStyle
{
    private const string Sans = "-apple-system,'Segoe UI',Roboto,'Helvetica Neue',Arial,sans-serif";
    private const string Serif = "Charter,'Bitstream Charter','Iowan Old Style',Georgia,serif";

    /// <summary>Names the paper colour of either scheme.</summary>
    public const string Paper = "#fbf9f4";

    public const string Ink = "#22251f";
    public const string Soft = "#5a5d52";
    public const string Rule = "#d9d4c5";
    public const string Urgent = "#8a2b16";
    public const string Today = "#35572f";
    public const string Know = "#56594f";
    public const string Link = "#1f5673";

    public const string DarkPaper = "#191b17";
    public const string DarkInk = "#eae7dd";
    public const string DarkSoft = "#b3b3a6";
    public const string DarkRule = "#43463c";
    public const string DarkUrgent = "#f09a80";
    public const string DarkToday = "#a9cf9a";
    public const string DarkKnow = "#bdbdb0";
    public const string DarkLink = "#8fc3e0";

    public const string Body = $"margin:0;padding:0;background:{Paper};color:{Ink};font:16px/1.5 {Sans};-webkit-text-size-adjust:100%";
    public const string Column = "max-width:620px;margin:0 auto;padding:20px 16px 32px;text-align:left";
    public const string Title = $"margin:0;font:normal 26px/1.25 {Serif};color:{Ink}";
    public const string Under = $"margin:2px 0 0;font-size:15px;color:{Soft}";
    public const string Lead = $"margin:18px 0 0;font-size:18px;line-height:1.45;color:{Ink}";
    public const string Alarm = $"margin:18px 0 0;padding:10px 12px;border:2px solid {Urgent};font-size:18px;line-height:1.45;color:{Ink}";
    public const string Weather = $"margin:8px 0 0;color:{Ink}";
    public const string Section = $"margin:34px 0 8px;padding:0 0 4px;border-bottom:1px solid {Rule};font:normal 20px/1.3 {Serif};color:{Ink}";
    public const string Headline = $"margin:2px 0 8px;font-size:17px;line-height:1.4;color:{Ink}";
    public const string Facts = "border-collapse:collapse;width:100%";
    public const string FactName = $"padding:2px 12px 2px 0;width:62px;vertical-align:top;text-align:left;font-weight:normal;font-size:15px;color:{Soft}";
    public const string FactWords = $"padding:2px 0;vertical-align:top;text-align:left;color:{Ink};overflow-wrap:anywhere";
    public const string Numbers = $"border-collapse:collapse;width:100%;margin:8px 0 6px;border-top:1px solid {Rule};border-bottom:1px solid {Rule}";
    public const string NumberHead = $"padding:5px 10px 1px 0;text-align:left;font-weight:normal;font-size:14px;line-height:1.35;color:{Soft};overflow-wrap:anywhere";
    public const string NumberCell = $"padding:0 10px 5px 0;text-align:left;vertical-align:top;white-space:nowrap;font-size:17px;color:{Ink}";
    public const string Small = $"font-size:14px;color:{Soft}";
    public const string List = "margin:0;padding:0 0 0 18px";
    public const string Item = $"margin:4px 0;color:{Ink};overflow-wrap:anywhere";
    public const string Anchor = $"color:{Link}";
    public const string Button = $"display:inline-block;margin:8px 10px 0 0;padding:9px 14px;border:1px solid {Link};color:{Link};text-decoration:none";
    public const string PageButton = $"margin:18px 0 0;padding:12px 18px;border:2px solid {Link};background:transparent;color:{Link};font:inherit;font-weight:bold";
    public const string Closing = $"margin:8px 0 0;font-size:15px;color:{Soft}";
    public const string Foot = $"margin:34px 0 0;padding:10px 0 0;border-top:1px solid {Rule}";

    /// <summary>Rules for dark screens; everything else is inlined.</summary>
    public const string Rules =
        ":root{color-scheme:light dark;supported-color-schemes:light dark}\n"
        + "@media (prefers-color-scheme:dark){\n"
        + $".paper{{background:{DarkPaper}!important;color:{DarkInk}!important}}\n"
        + $".ink{{color:{DarkInk}!important}}.soft{{color:{DarkSoft}!important}}.rule{{border-color:{DarkRule}!important}}\n"
        + $".urgent{{color:{DarkUrgent}!important;border-color:{DarkUrgent}!important}}.today{{color:{DarkToday}!important;border-color:{DarkToday}!important}}.know{{color:{DarkKnow}!important;border-color:{DarkKnow}!important}}\n"
        + $".alarm{{border-color:{DarkUrgent}!important}}.link{{color:{DarkLink}!important;border-color:{DarkLink}!important}}\n"
        + "}\n";

    /// <summary>The bar left of a line of work: thicker the more pressing, besides the word.</summary>
    public static string Block(Pressing pressing) => pressing switch
    {
        Pressing.Urgent => $"margin:20px 0 0;padding:0 0 0 12px;border-left:7px solid {Urgent}",
        Pressing.Today => $"margin:20px 0 0;padding:0 0 0 15px;border-left:4px solid {Today}",
        Pressing.Soon => $"margin:20px 0 0;padding:0 0 0 17px;border-left:2px solid {Today}",
        _ => $"margin:20px 0 0;padding:0 0 0 18px;border-left:1px solid {Know}",
    };

    /// <summary>The word of the level.</summary>
    public static string LevelWord(Pressing pressing) => $"margin:0;font-size:14px;font-weight:bold;letter-spacing:.04em;color:{Colour(pressing)}";

    /// <summary>Class of the level's colour.</summary>
    public static string Class(Pressing pressing) => pressing switch
    {
        Pressing.Urgent => "urgent",
        Pressing.Today or Pressing.Soon => "today",
        _ => "know",
    };

    private static string Colour(Pressing pressing) => pressing switch
    {
        Pressing.Urgent => Urgent,
        Pressing.Today or Pressing.Soon => Today,
        _ => Know,
    };
}
