using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Serving;
using GraftWatch.Settings.Effective;

namespace GraftWatch.Pages.Operator;

/// <summary>The settings in force, value by value, and the edit that was refused.</summary>
internal sealed class SettingsPages(SettingsInForce settings) : IPageGroup
{
    private const int PageSize = 100;
    private const string Thresholds = "thresholds";

    public void Map(PageRoutes routes) => routes.Get("/operator/settings", Access.Operator, page => Task.FromResult(Show(page)));

    private PageAnswer Show(PageContext page)
    {
        ServeSettings current = settings.Current;
        KeyValuePair<string, string>[] lines = [.. FlatSettings.Of(current.Installation), .. FlatSettings.Of(current.Morning.Handbook).Where(line => PartOf(line.Key) is "species" or "cover" or "tie" or "seal" or "work")];
        string[] parts = [.. lines.Select(line => PartOf(line.Key)).Append(Thresholds).Distinct(StringComparer.Ordinal)];
        string part = parts.FirstOrDefault(one => one == page.Query("part", 60), parts[0]);
        return OperatorView.Show(page, page.Say("operator.settings"), html =>
        {
            Refused(html, page);
            html.Paragraph(page.Say("operator.settings-how", current.Installation.File), "small");
            Parts(html, page, parts, part);
            html.Leaf("h2", part, ("lang", "en"));
            if (part == Thresholds)
            {
                Values(html, page, EffectiveSettings.All(current.Morning.Handbook.Thresholds));
            }
            else
            {
                Values(html, page, [.. lines.Where(line => PartOf(line.Key) == part)]);
            }
        });
    }

    // place.Sorrel Bank.latitude → place; data_folder → data_folder.
    private static string PartOf(string key)
    {
        int end = key.IndexOfAny(['.', ' ', '[']);
        return end < 0 ? key : key[..end];
    }

    private void Refused(Html html, PageContext page)
    {
        if (settings.NeedsRestart is { } waits)
        {
            html.Leaf("p", page.Say("operator.settings-wait"), ("class", "alarm"));
            html.Leaf("p", waits + ".", ("lang", "en"));
        }

        if (settings.Refused.Count == 0)
        {
            html.Paragraph(page.Say(settings.NeedsRestart is null ? "operator.settings-right" : "operator.settings-right-part"), "lead");
            return;
        }

        html.Leaf("p", page.Count("operator.settings-refused", settings.Refused.Count), ("class", "alarm"));
        using (html.In("ul", ("lang", "en"), ("class", "amiss")))
        {
            foreach (string fault in settings.Refused.Take(50))
            {
                html.Leaf("li", fault);
            }
        }
    }

    private static void Parts(Html html, PageContext page, string[] parts, string here)
    {
        using (html.In("nav", ("class", "parts"), ("aria-label", page.Say("operator.settings-parts")), ("lang", "en")))
        {
            foreach (string part in parts)
            {
                html.Leaf("a", part, ("href", page.To("/operator/settings?part=" + Uri.EscapeDataString(part))), ("aria-current", part == here ? "true" : null));
            }
        }
    }

    private static void Values(Html html, PageContext page, IReadOnlyList<KeyValuePair<string, string>> lines)
    {
        Pager pager = Pager.Of(page, lines.Count, PageSize);
        string[] columns = [page.Say("operator.key"), page.Say("operator.value")];
        html.Table(columns, () =>
        {
            foreach ((string key, string value) in pager.Of(lines))
            {
                using (html.In("tr", ("lang", "en")))
                {
                    html.Cell(columns[0], key);
                    html.Cell(columns[1], value);
                }
            }
        });
        html.Pager(page, pager);
    }

    private static void Values(Html html, PageContext page, IReadOnlyList<EffectiveSetting> values)
    {
        Pager pager = Pager.Of(page, values.Count, PageSize);
        string[] columns = [page.Say("operator.key"), page.Say("operator.value"), page.Say("operator.for-whom"), page.Say("operator.stands"), page.Say("operator.value-source")];
        html.Table(columns, () =>
        {
            foreach (EffectiveSetting value in pager.Of(values))
            {
                using (html.In("tr", ("lang", "en")))
                {
                    html.Cell(columns[0], value.Key);
                    html.Cell(columns[1], value.Value, "number");
                    html.Cell(columns[2], value.ForWhom);
                    html.Cell(columns[3], value.Where);
                    html.Cell(columns[4], value.Setting.Source);
                }
            }
        });
        html.Pager(page, pager);
    }
}
