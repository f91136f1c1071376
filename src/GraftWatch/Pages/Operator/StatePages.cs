using GraftWatch.Checks;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Records;
using GraftWatch.Records.Inspection;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using GraftWatch.Serving;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Pages.Operator;

/// <summary>How the program stands: what is amiss, what comes next, what it rests on.</summary>
internal sealed class StatePages(SettingsInForce settings, ServeState state, GrowersInForce growers, RecordsStore store, MailWay mail, CheckRuns checks) : IPageGroup
{
    private const int NextShown = 8;

    public IReadOnlyList<MenuEntry> Menu => [new MenuEntry("operator.menu", "/operator", Access.Operator, 100)];

    public void Map(PageRoutes routes)
    {
        routes.Get("/operator", Access.Operator, ShowAsync);
        routes.Post("/operator/check", Access.Operator, CheckAsync);
    }

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        InForce inForce = await growers.LoadAsync(page.Stopped).ConfigureAwait(false);
        IReadOnlyList<WaitingOnChannel> waiting = await store.Ledger.CountWaitingAsync(page.Stopped).ConfigureAwait(false);
        ServeReport report = state.Report();
        Days days = OperatorView.DaysOf(page, inForce.Settings);
        return OperatorView.Show(page, page.Say("operator.state"), html =>
        {
            Troubles(html, page, report);
            Times(html, page, days, report, waiting);
            Next(html, page, inForce);
            Store(html, page, inForce);
            Checks(html, page, days);
        });
    }

    private Task<PageAnswer> CheckAsync(PageContext page)
    {
        bool began = checks.Begin(Path.GetDirectoryName(settings.Current.Installation.File) ?? string.Empty);
        return Task.FromResult(page.Next("/operator", began ? "said.check-began" : "said.check-runs"));
    }

    private static void Troubles(Html html, PageContext page, ServeReport report)
    {
        if (report.Troubles.Count == 0)
        {
            html.Paragraph(page.Say(report.LastLook is null ? "operator.starting" : "operator.well"), "lead");
            return;
        }

        html.Paragraph(page.Count("operator.amiss", report.Troubles.Count), "lead");
        using (html.In("ul", ("lang", "en"), ("class", "amiss")))
        {
            foreach (string trouble in report.Troubles.Take(30))
            {
                html.Leaf("li", trouble);
            }
        }
    }

    private void Times(Html html, PageContext page, Days days, ServeReport report, IReadOnlyList<WaitingOnChannel> waiting)
    {
        using (html.In("dl"))
        {
            html.Fact(page.Say("operator.last-look"), OperatorView.At(days, report.LastLook));
            html.Fact(page.Say("operator.last-weather"), OperatorView.At(days, report.LastWeather));
            html.Fact(page.Say("operator.last-taken"), report.LastAccepted is null ? page.Say("operator.not-since-start") : days.At(report.LastAccepted.Value));
            html.Fact(page.Say("operator.waiting"), waiting.Count == 0
                ? page.Say("operator.none-waits")
                : string.Join(", ", waiting.Select(one => page.Count("operator.wait", one.Letters, LetterWords.Channel(page, one.Channel), OperatorView.Age(page, one.OldestSealedAt)))));
            html.Fact(page.Say("operator.letters-leave"), mail.Folder is { } folder
                ? page.Say("operator.letters-are-files", folder)
                : page.Say("operator.letters-by", settings.Current.Installation.Mail?.Host ?? string.Empty));
        }
    }

    private static void Next(Html html, PageContext page, InForce inForce)
    {
        html.Leaf("h2", page.Say("operator.next"));
        (Grower Grower, DueLetter Letter)[] next = [.. inForce.Morning.Growers.Select(grower => (grower, LetterSchedule.NextDue(grower, page.Now))).OrderBy(pair => pair.Item2.At).Take(NextShown)];
        if (next.Length == 0)
        {
            html.Paragraph(page.Say("operator.next-none"));
            return;
        }

        using (html.In("ul"))
        {
            foreach ((Grower grower, DueLetter letter) in next)
            {
                html.Leaf("li", page.Say("operator.next-at", new Days(page.Language, grower.Zone).At(letter.At), grower.Name));
            }
        }

        if (inForce.Morning.Growers.Count > NextShown)
        {
            html.Paragraph(page.Count("operator.next-more", inForce.Morning.Growers.Count - NextShown), "small");
        }
    }

    private void Store(Html html, PageContext page, InForce inForce)
    {
        GraftWatchSettings installation = inForce.Settings.Installation;
        html.Leaf("h2", page.Say("operator.store"));
        using (html.In("dl"))
        {
            html.Fact(page.Say("operator.store-where"), Inputs.Installation.WhereStore(installation));
            if (installation.Store.Kind == StoreKind.Sqlite)
            {
                (long bytes, long? free) = Measure(ServeSettings.StorePath(installation));
                html.Fact(page.Say("operator.store-size"), OperatorView.Size(page, bytes));
                html.Fact(page.Say("operator.store-room"), free is { } room ? OperatorView.Size(page, room) : page.Say("operator.not-known"));
            }

            html.Fact(page.Say("operator.growers"), OperatorView.Number(inForce.Growers.Count));
            html.Fact(page.Say("operator.stopped-count"), OperatorView.Number(inForce.Growers.Count - inForce.Morning.Growers.Count));
        }
    }

    private static (long Bytes, long? Free) Measure(string path)
    {
        try
        {
            long bytes = new[] { path, path + "-wal" }.Select(file => new FileInfo(file)).Where(file => file.Exists).Sum(file => file.Length);
            return (bytes, DiskFacts.OfSystem.FreeBytesOf(DiskFacts.Existing(Path.GetDirectoryName(path) ?? ".")));
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException or ArgumentException)
        {
            return (0, null);
        }
    }

    private void Checks(Html html, PageContext page, Days days)
    {
        html.Leaf("h2", page.Say("operator.check"));
        CheckRun? run = checks.Last;
        if (run is null)
        {
            html.Paragraph(page.Say("operator.check-how"));
        }
        else
        {
            html.Paragraph(run.EndedAt is { } ended ? page.Say("operator.check-of", days.At(ended)) : page.Say("operator.check-running"));
            html.Table([page.Say("operator.check-what"), page.Say("operator.check-verdict"), page.Say("operator.check-found")], () =>
            {
                foreach (CheckLine line in run.Lines)
                {
                    Line(html, page, line);
                }
            });
        }

        html.Form(page, "/operator/check", () => html.Button(page.Say("operator.check-begin"), "second"));
    }

    private static void Line(Html html, PageContext page, CheckLine line)
    {
        using (html.In("tr"))
        {
            html.Cell(page.Say("operator.check-what"), line.Subject, language: "en");
            html.Cell(page.Say("operator.check-verdict"), page.Say("operator.verdict-" + CheckLine.Word(line.Verdict)), line.Verdict > CheckVerdict.Look ? "strong" : null);
            html.Cell(page.Say("operator.check-found"), line.What + (line.Mend.Length > 0 ? " " + line.Mend : string.Empty), language: "en");
        }
    }
}
