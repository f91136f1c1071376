using System.Globalization;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Serving;
using NodaTime;

namespace GraftWatch.Pages.Operator;

/// <summary>What the operator's pages have in common: their own row of links, times, and words of machines.</summary>
internal static class OperatorView
{
    private const string Unknown = Figures.Unknown;

    private static readonly (string Key, string Path)[] Pages =
    [
        ("operator.state", "/operator"), ("operator.growers", "/operator/growers"), ("operator.letters", "/operator/letters"),
        ("operator.weather", "/operator/weather"), ("operator.settings", "/operator/settings"),
    ];

    /// <summary>A page of the operator with the row of links on top.</summary>
    internal static PageAnswer Show(PageContext page, string title, Action<Html> body, int status = StatusCodes.Status200OK) => page.Show(
        title,
        html =>
        {
            using (html.In("nav", ("class", "parts"), ("aria-label", page.Say("operator.parts"))))
            {
                foreach ((string key, string path) in Pages)
                {
                    html.Leaf("a", page.Say(key), ("href", page.To(path)), ("aria-current", IsHere(page, path) ? "page" : null));
                }
            }

            if (page.Who is { IsByPlace: true })
            {
                html.Paragraph(page.Say("operator.at-machine"), "small");
            }

            body(html);
        },
        status);

    /// <summary>Days and hours as the operator reads them: their own zone as a grower, else that of the first place.</summary>
    internal static Days DaysOf(PageContext page, ServeSettings settings) => new(
        page.Language,
        page.Who?.Grower?.Zone ?? (settings.Installation.Places is [var first, ..] ? first.Zone : DateTimeZone.Utc));

    /// <summary>A fact: its name and its words.</summary>
    internal static void Fact(this Html html, string name, string words)
    {
        html.Leaf("dt", name);
        html.Leaf("dd", words);
    }

    /// <summary>A fact whose words a machine made; they are English in every language.</summary>
    internal static void MachineFact(this Html html, string name, string words)
    {
        html.Leaf("dt", name);
        html.Leaf("dd", words, ("lang", "en"));
    }

    /// <summary>A cell that knows its column, for narrow screens where a row becomes a list.</summary>
    internal static void Cell(this Html html, string column, string words, string? style = null, string? language = null) =>
        html.Leaf("td", words, ("data-column", column), ("class", style), ("lang", language));

    /// <summary>A cell that leads somewhere.</summary>
    internal static void LinkCell(this Html html, string column, string target, string words)
    {
        using (html.In("td", ("data-column", column)))
        {
            html.Link(target, words);
        }
    }

    /// <summary>A table whose rows become lists on a narrow screen.</summary>
    internal static void Table(this Html html, IReadOnlyList<string> columns, Action rows)
    {
        using (html.In("table", ("class", "folds")))
        {
            using (html.In("thead"))
            using (html.In("tr"))
            {
                foreach (string column in columns)
                {
                    html.Leaf("th", column, ("scope", "col"));
                }
            }

            using (html.In("tbody"))
            {
                rows();
            }
        }
    }

    /// <summary>An instant, or a dash.</summary>
    internal static string At(Days days, Instant? at) => at is { } known ? days.At(known) : Unknown;

    /// <summary>How long ago, in hours.</summary>
    internal static string Age(PageContext page, Instant at) => page.Say("operator.hours-old", page.Figures.Number(Math.Max(0, (page.Now - at).TotalHours), 1));

    /// <summary>A size in powers of 1024.</summary>
    internal static string Size(PageContext page, long bytes) => bytes >= 1L << 30
        ? page.Figures.Number(bytes / (double)(1L << 30), 1) + "\u00A0GiB"
        : bytes >= 1L << 20 ? page.Figures.Number(bytes / (double)(1L << 20), 0) + "\u00A0MiB" : page.Figures.Number(bytes / 1024.0, 0) + "\u00A0KiB";

    /// <summary>A number for an address or a phrase.</summary>
    internal static string Number(long number) => number.ToString(CultureInfo.InvariantCulture);

    /// <summary>The page of a grower.</summary>
    internal static string PathOf(string grower) => "/operator/growers/one?name=" + Uri.EscapeDataString(grower);

    private static bool IsHere(PageContext page, string path) =>
        path == "/operator" ? page.Http.Request.Path.Value == path : page.Http.Request.Path.StartsWithSegments(path, StringComparison.Ordinal);
}
