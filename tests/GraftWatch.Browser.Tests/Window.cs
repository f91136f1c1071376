using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using GraftWatch.EndToEnd.Tests.Pages;
using Microsoft.Playwright;

namespace GraftWatch.Browser.Tests;

/// <summary>One window of the browser; whatever it asks of other hosts and whatever its console complains of is kept.</summary>
public sealed class Window : IAsyncDisposable
{
    private const int LongestPage = 50_000;
    private readonly IBrowserContext context;
    private readonly List<string> complaints = [];

    internal Window(IBrowserContext context, IPage page, Uri site)
    {
        this.context = context;
        Page = page;
        page.Request += (_, request) =>
        {
            if (!request.Url.StartsWith(site.AbsoluteUri, StringComparison.Ordinal) && !request.Url.StartsWith("data:", StringComparison.Ordinal))
            {
                complaints.Add("asked of somebody else: " + request.Url);
            }
        };
        page.Console += (_, message) =>
        {
            if (message.Type is "error" or "warning")
            {
                complaints.Add("console: " + message.Text);
            }
        };
        page.PageError += (_, error) => complaints.Add("script failed: " + error);
    }

    /// <summary>The page shown.</summary>
    public IPage Page { get; }

    /// <summary>Opens a page; anything but a page that is there fails.</summary>
    public async Task OpenAsync(string path)
    {
        IResponse? answer = await Page.GotoAsync(path);
        Assert.True(answer is { Ok: true }, $"{path}: {answer?.Status}");
    }

    /// <summary>Signs in by the mail that comes, as people do.</summary>
    internal async Task SignInAsync(SiteHarness site, string address)
    {
        int before = site.MailsTo(address).Count;
        await OpenAsync("/sign-in");
        await Page.FillAsync("input[name=address]", address);
        await Page.ClickAsync("main button[type=submit]");
        string link = EndToEnd.Tests.Pages.Browser.LinkIn(await site.MailTextAsync(address, before + 1));
        await OpenAsync(link);
        await Page.ClickAsync("main button[type=submit]");
    }

    /// <summary>Presses the button of the form that is sent to a path.</summary>
    public Task PressAsync(string path) => PressAsync(Page.Locator($"form[action$='{path}'] button[type=submit]").First);

    /// <summary>Presses a button that sends a form, and waits for the page the daemon answers with.</summary>
    public Task PressAsync(ILocator button) =>
        Page.RunAndWaitForResponseAsync(() => button.ClickAsync(), answer => answer.Request.IsNavigationRequest && answer.Status is < 300 or >= 400);

    /// <summary>Waits until the page says something.</summary>
    public Task SaysAsync(string words) => Assertions.Expect(Page.Locator("body")).ToContainTextAsync(words);

    /// <summary>Waits until the first of what a selector names stands whole in the window as it is scrolled.</summary>
    public Task ShowsAsync(string selector) =>
        Assertions.Expect(Page.Locator(selector).First).ToBeInViewportAsync(new LocatorAssertionsToBeInViewportOptions { Ratio = 1 });

    /// <summary>Holds the page shown against what every page must keep: no axe violation, no sideways scrolling, small, nothing from elsewhere, a quiet console.</summary>
    public async Task CheckAsync()
    {
        string where = Page.Url;
        Assert.True(complaints.Count == 0, $"{where}: {string.Join("; ", complaints)}");
        string source = await Page.ContentAsync();
        Assert.True(source.Length < LongestPage, $"{where} has {source.Length} characters.");
        int wide = await Page.EvaluateAsync<int>("document.documentElement.scrollWidth - document.documentElement.clientWidth");
        Assert.True(wide <= 0, $"{where} is {wide} px wider than the window.");
        AxeResult found = await Page.RunAxe();
        Assert.True(found.Violations.Length == 0, $"{where}:\n{string.Join('\n', found.Violations.Select(Describe))}");
    }

    /// <summary>Keeps a picture of the page when GRAFTWATCH_WRITE_PAGES names a folder.</summary>
    public async Task PictureAsync(string name)
    {
        if (Environment.GetEnvironmentVariable("GRAFTWATCH_WRITE_PAGES") is { Length: > 0 } folder)
        {
            Directory.CreateDirectory(folder);
            await Page.ScreenshotAsync(new PageScreenshotOptions { Path = Path.Combine(folder, name + ".png"), FullPage = true });
        }
    }

    public ValueTask DisposeAsync() => context.DisposeAsync();

    private static string Describe(AxeResultItem item) =>
        $"{item.Id}: {item.Help} ({string.Join(", ", item.Nodes.Take(3).Select(node => node.Html))})";
}
