using Microsoft.Playwright;

[assembly: AssemblyFixture(typeof(GraftWatch.Browser.Tests.Chromium))]

namespace GraftWatch.Browser.Tests;

/// <summary>One real browser for all tests, Debian's Chromium or the one CHROMIUM names. Where there is none, tests skip and say so.</summary>
public sealed class Chromium : IAsyncLifetime
{
    private static readonly string Executable = Environment.GetEnvironmentVariable("CHROMIUM") ?? "/usr/bin/chromium";
    private IPlaywright? driver;
    private IBrowser? browser;

    public async ValueTask InitializeAsync()
    {
        if (!File.Exists(Executable))
        {
            return;
        }

        driver = await Playwright.CreateAsync();
        browser = await driver.Chromium.LaunchAsync(new BrowserTypeLaunchOptions { ExecutablePath = Executable, Args = ["--no-sandbox", "--disable-gpu"] });
    }

    /// <summary>A window of its own: no cookies, nothing kept.</summary>
    /// <param name="site">Where the pages are; requests that lead elsewhere fail the test.</param>
    /// <param name="look">How the page is looked at.</param>
    public async Task<Window> OpenAsync(Uri site, Look look)
    {
        Assert.SkipWhen(browser is null, $"There is no browser at {Executable}; install chromium or set CHROMIUM.");
        IBrowserContext context = await browser.NewContextAsync(new BrowserNewContextOptions
        {
            BaseURL = site.AbsoluteUri,
            JavaScriptEnabled = look.Script,
            ViewportSize = new ViewportSize { Width = look.Width, Height = look.Width < 500 ? 780 : 900 },
            HasTouch = look.Width < 500,
            ColorScheme = look.Dark ? ColorScheme.Dark : ColorScheme.Light,
            Locale = look.Language,
            ReducedMotion = ReducedMotion.Reduce,
        });
        return new Window(context, await context.NewPageAsync(), site);
    }

    public async ValueTask DisposeAsync()
    {
        if (browser is not null)
        {
            await browser.DisposeAsync();
        }

        driver?.Dispose();
    }
}

/// <summary>How a page is looked at.</summary>
/// <param name="Width">Width of the window. [px]</param>
/// <param name="Script">Whether script runs.</param>
/// <param name="Dark">Whether dark colours are wanted.</param>
/// <param name="Language">What the browser asks for.</param>
public sealed record Look(int Width = 360, bool Script = true, bool Dark = false, string Language = "en");
