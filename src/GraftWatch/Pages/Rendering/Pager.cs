using System.Globalization;
using GraftWatch.Pages.Routing;

namespace GraftWatch.Pages.Rendering;

/// <summary>One page of a list.</summary>
/// <param name="Number">Which, from 1.</param>
/// <param name="Size">Entries on a page.</param>
/// <param name="Total">Entries of the whole list.</param>
internal sealed record Pager(int Number, int Size, int Total)
{
    /// <summary>How many pages there are, at least one.</summary>
    internal int Pages => Math.Max(1, (Total + Size - 1) / Size);

    /// <summary>Entries before this page.</summary>
    internal int Skip => (Number - 1) * Size;

    /// <summary>The page the address asks for with <c>page=</c>; the nearest there is.</summary>
    internal static Pager Of(PageContext page, int total, int size)
    {
        _ = int.TryParse(page.Query("page", 9), NumberStyles.None, CultureInfo.InvariantCulture, out int asked);
        var first = new Pager(1, size, total);
        return first with { Number = Math.Clamp(asked, 1, first.Pages) };
    }

    /// <summary>The entries of this page.</summary>
    internal IEnumerable<T> Of<T>(IReadOnlyList<T> list) => list.Skip(Skip).Take(Size);
}

/// <summary>Writes the way from page to page.</summary>
internal static class Pagers
{
    /// <summary>Links to the neighbours; nothing for a list of one page.</summary>
    /// <param name="html">The page.</param>
    /// <param name="page">The request; its other query values are kept.</param>
    /// <param name="pager">Where we are.</param>
    internal static void Pager(this Html html, PageContext page, Pager pager)
    {
        if (pager.Pages == 1)
        {
            return;
        }

        using (html.In("nav", ("class", "pager"), ("aria-label", page.Say("layout.pages"))))
        {
            if (pager.Number > 1)
            {
                html.Leaf("a", page.Say("layout.before"), ("href", Target(page, pager.Number - 1)), ("rel", "prev"));
            }

            html.Leaf("span", page.Say("layout.page-of", pager.Number.ToString(CultureInfo.InvariantCulture), pager.Pages.ToString(CultureInfo.InvariantCulture)));
            if (pager.Number < pager.Pages)
            {
                html.Leaf("a", page.Say("layout.after"), ("href", Target(page, pager.Number + 1)), ("rel", "next"));
            }
        }
    }

    private static string Target(PageContext page, int number)
    {
        QueryString query = QueryString.Create(page.Http.Request.Query.Where(pair => pair.Key is not ("page" or "said")));
        return page.To(page.Http.Request.Path.Value ?? "/") + query.Add("page", number.ToString(CultureInfo.InvariantCulture)).ToUriComponent();
    }
}
