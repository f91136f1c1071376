using System.Net;
using System.Text.RegularExpressions;

namespace GraftWatch.EndToEnd.Tests.Pages;

/// <summary>A browser without script: keeps cookies, sends forms with their hidden token, says where its requests come from.</summary>
internal sealed partial class Browser : IDisposable
{
    private readonly HttpClient http;

    internal Browser(Uri address, string language)
    {
        Cookies = new CookieContainer();
        http = new HttpClient(new HttpClientHandler { CookieContainer = Cookies, AllowAutoRedirect = false }) { BaseAddress = address };
        http.DefaultRequestHeaders.TryAddWithoutValidation("Accept-Language", language);
        http.DefaultRequestHeaders.TryAddWithoutValidation("User-Agent", "Testbrowser/1.0 (telephone)");
    }

    internal CookieContainer Cookies { get; }

    internal HttpClient Raw => http;

    /// <summary>Opens a page and follows where it leads.</summary>
    internal async Task<Shown> OpenAsync(string path)
    {
        Shown shown = await SendAsync(new HttpRequestMessage(HttpMethod.Get, path));
        for (int i = 0; i < 5 && shown.LeadsTo is { } next; i++)
        {
            shown = await SendAsync(new HttpRequestMessage(HttpMethod.Get, next));
        }

        return shown;
    }

    /// <summary>Opens a page and stays.</summary>
    internal Task<Shown> LookAsync(string path) => SendAsync(new HttpRequestMessage(HttpMethod.Get, path));

    /// <summary>Sends a form of a page just opened: the token is taken from it. Does not follow.</summary>
    internal async Task<Shown> PressAsync(string onPage, string path, params (string Name, string Value)[] fields)
    {
        Shown page = await OpenAsync(onPage);
        return await PostAsync(path, [("_form", page.FormToken), .. fields]);
    }

    /// <summary>Sends a form as a browser would from a page of the site.</summary>
    internal Task<Shown> PostAsync(string path, params (string Name, string Value)[] fields) => PostAsync(path, "same-origin", fields);

    /// <summary>Sends a form from somewhere.</summary>
    internal async Task<Shown> PostAsync(string path, string? site, (string Name, string Value)[] fields)
    {
        var request = new HttpRequestMessage(HttpMethod.Post, path)
        {
            Content = new FormUrlEncodedContent(fields.Select(field => KeyValuePair.Create(field.Name, field.Value))),
        };
        if (site is not null)
        {
            request.Headers.TryAddWithoutValidation("Sec-Fetch-Site", site);
        }

        return await SendAsync(request);
    }

    internal async Task<Shown> SendAsync(HttpRequestMessage request)
    {
        using HttpResponseMessage answer = await http.SendAsync(request);
        return new Shown(answer.StatusCode, await answer.Content.ReadAsStringAsync(), answer.Headers.Location?.OriginalString, Headers(answer));
    }

    /// <summary>Signs in by the mail that comes.</summary>
    internal async Task SignInAsync(SiteHarness site, string address)
    {
        int before = site.MailsTo(address).Count;
        Shown asked = await PressAsync("/sign-in", "/sign-in", ("address", address), ("to", string.Empty));
        Assert.Equal("/sign-in/sent", asked.LeadsTo);
        string path = Link().Match(await site.MailTextAsync(address, before + 1)).Value;
        Shown entered = await PressAsync(path, path);
        Assert.Equal(HttpStatusCode.SeeOther, entered.Status);
    }

    /// <summary>The path of a link in a mail.</summary>
    internal static string LinkIn(string mail) => Link().Match(mail).Value;

    public void Dispose() => http.Dispose();

    private static Dictionary<string, string> Headers(HttpResponseMessage answer) =>
        answer.Headers.Concat(answer.Content.Headers).ToDictionary(header => header.Key, header => string.Join(", ", header.Value), StringComparer.OrdinalIgnoreCase);

    [GeneratedRegex("/(sign-in|subscribe|address)/[A-Za-z0-9_-]{43}")]
    private static partial Regex Link();
}

/// <summary>What came back.</summary>
internal sealed partial record Shown(HttpStatusCode Status, string Text, string? LeadsTo, IReadOnlyDictionary<string, string> Headers)
{
    /// <summary>The hidden token of the page's forms.</summary>
    internal string FormToken => Token().Match(Text) is { Success: true } found
        ? WebUtility.HtmlDecode(found.Groups[1].Value)
        : throw new InvalidOperationException("No form with a token on: " + Text);

    /// <summary>Text without tags, entities decoded.</summary>
    internal string Plain => WebUtility.HtmlDecode(Tags().Replace(Text, " "));

    [GeneratedRegex("name=\"_form\" value=\"([^\"]+)\"")]
    private static partial Regex Token();

    [GeneratedRegex("<[^>]+>")]
    private static partial Regex Tags();
}
