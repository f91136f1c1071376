using GraftWatch.Pages.Assets;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Routing;

namespace GraftWatch.Pages.Rendering;

/// <summary>The frame of every page: where am I, who am I, where can I go.</summary>
internal static class Layout
{
    private const string SaidPrefix = "said.";

    /// <summary>The whole page.</summary>
    internal static string Write(PageContext page, IReadOnlyList<MenuEntry> menu, string title, Action<Html> body)
    {
        var html = new Html();
        html.Drawing("<!DOCTYPE html>\n");
        using (html.In("html", ("lang", page.Words.Language.Tag())))
        {
            Head(html, page, title);
            using (html.In("body"))
            {
                html.Leaf("a", page.Say("layout.skip"), ("href", "#content"), ("class", "skip"));
                Header(html, page, menu);
                using (html.In("main", ("id", "content")))
                {
                    html.Leaf("h1", title);
                    Said(html, page);
                    body(html);
                }

                using (html.In("footer"))
                {
                    html.Paragraph(page.Say("layout.estimates"));
                }
            }
        }

        return html.ToString();
    }

    private static void Head(Html html, PageContext page, string title)
    {
        using (html.In("head"))
        {
            html.Void("meta", ("charset", "utf-8"));
            html.Void("meta", ("name", "viewport"), ("content", "width=device-width, initial-scale=1"));
            html.Void("meta", ("name", "color-scheme"), ("content", "light dark"));
            html.Leaf("title", title + " · GraftWatch");
            html.Void("link", ("rel", "stylesheet"), ("href", page.To(AssetFiles.Style.Path)));
            html.Void("link", ("rel", "icon"), ("type", "image/svg+xml"), ("href", page.To(AssetFiles.Icon.Path)));
            html.Leaf("script", string.Empty, ("src", page.To(AssetFiles.Script.Path)), ("defer", string.Empty));
        }
    }

    private static void Header(Html html, PageContext page, IReadOnlyList<MenuEntry> menu)
    {
        using (html.In("header"))
        {
            using (html.In("div", ("class", "who")))
            {
                html.Link(page.To("/"), "GraftWatch", "mark");
                if (page.Who is { } who)
                {
                    html.Leaf("span", who.Grower?.Name ?? who.Address, ("class", "name"));
                    html.Form(page, "/sign-out", () => html.Button(page.Say("layout.sign-out"), "quiet"));
                }
            }

            MenuEntry[] shown = [.. menu.Where(entry => Sees(page, entry)).OrderBy(entry => entry.Order)];
            if (shown.Length > 0)
            {
                using (html.In("nav", ("aria-label", page.Say("layout.menu"))))
                using (html.In("ul"))
                {
                    foreach (MenuEntry entry in shown)
                    {
                        using (html.In("li"))
                        {
                            html.Leaf("a", page.Say(entry.Key), ("href", page.To(entry.Path)), ("aria-current", IsHere(page, entry) ? "page" : null));
                        }
                    }
                }
            }
        }
    }

    private static bool Sees(PageContext page, MenuEntry entry) => entry.For switch
    {
        Access.Anyone => true,
        Access.SignedIn => page.Who is { IsByPlace: false },
        Access.Grower => page.Who?.Grower is not null,
        Access.Operator => page.Who is { IsOperator: true },
        _ => false,
    };

    private static bool IsHere(PageContext page, MenuEntry entry) =>
        page.Http.Request.Path.StartsWithSegments(entry.Path, StringComparison.Ordinal);

    /// <summary>What was just done, when the address says so and there is such a sentence.</summary>
    private static void Said(Html html, PageContext page)
    {
        string key = SaidPrefix + page.Query("said", 40);
        if (key.Length > SaidPrefix.Length && page.Words.Has(key))
        {
            html.Leaf("p", page.Say(key), ("class", "said"), ("role", "status"));
        }
    }
}
