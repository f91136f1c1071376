using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Letters.Outline;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Routing;

namespace GraftWatch.Pages.Today;

/// <summary>The trade's closed lists in the language of the page.</summary>
internal static class TradeWords
{
    private const int LongestLine = 700;

    /// <summary>A kind of work.</summary>
    internal static string Of(this PageContext page, WorkAction action) => page.Say("action." + action.Key());

    /// <summary>A stage.</summary>
    internal static string Of(this PageContext page, Stage stage) => page.Say("stage." + TradeNames.Key(stage));

    /// <summary>A technique.</summary>
    internal static string Of(this PageContext page, Technique technique) => page.Say("technique." + TradeNames.Key(technique));

    /// <summary>A hazard.</summary>
    internal static string Of(this PageContext page, Hazard hazard) => page.Say("hazard." + TradeNames.Kebab(hazard.ToString()));

    /// <summary>A level.</summary>
    internal static string Of(this PageContext page, Level level) => page.Say("level." + TradeNames.Kebab(level.ToString()));

    /// <summary>How pressing a line is, as letters head it.</summary>
    internal static string Of(this PageContext page, Pressing pressing) => page.Say("pressing." + TradeNames.Kebab(pressing.ToString()));

    /// <summary>How a shoot is held.</summary>
    internal static string Of(this PageContext page, ShootSupport support) => page.Say("support." + TradeNames.Key(support));

    /// <summary>An answer.</summary>
    internal static string Of(this PageContext page, SaidState state) => page.Say("answer." + TradeNames.Kebab(state.ToString()));

    /// <summary>What a note says, in the page's language where it is one of the closed list.</summary>
    internal static string Of(this PageContext page, Observation seen) => seen.Kind switch
    {
        ObservationKind.Bbch => page.Say("note.bbch", ((int)(seen.Value ?? 0)).ToString("00", System.Globalization.CultureInfo.InvariantCulture)),
        ObservationKind.ShootLength => page.Say("note.shoot-length", page.Figures.Length(seen.Value ?? double.NaN)),
        ObservationKind.CoverOn when seen.Words is { Length: > 0 } cover => page.Say("note.cover-on-which", cover),
        _ => page.Say("note." + TradeNames.Kebab(seen.Kind.ToString())),
    };

    /// <summary>A direction as one of the sixteen points of the compass.</summary>
    internal static string Compass(this PageContext page, double aspectDeg) => page.Say("compass." + ((int)Math.Round(aspectDeg / 22.5) % 16).ToString(System.Globalization.CultureInfo.InvariantCulture));

    /// <summary>The tag of text that letters write in English; null on an English page.</summary>
    internal static string? English(this PageContext page) => page.Language == PageLanguage.English ? null : "en";

    /// <summary>A line as long as a page bears; the whole stands in the list of grafts.</summary>
    internal static string Cut(string line)
    {
        if (line.Length <= LongestLine)
        {
            return line;
        }

        int at = line.LastIndexOf(' ', LongestLine);
        return line[..(at > 0 ? at : LongestLine)] + " …";
    }

    /// <summary>A number in the SI unit of the round, in the grower's units.</summary>
    internal static string Quantity(this PageContext page, double value, string unit) => unit switch
    {
        "°C" => page.Figures.Temperature(value),
        "K" => page.Figures.TemperatureDifference(value),
        "m/s" => page.Figures.Wind(value),
        "mm" => page.Figures.Rain(value),
        "m" => page.Figures.Length(value),
        "-" or "" => page.Figures.Number(value, 2),
        _ => double.IsFinite(value) ? page.Figures.Number(value, unit == "W/m²" ? 0 : 1) + " " + unit : Figures.Unknown,
    };
}
