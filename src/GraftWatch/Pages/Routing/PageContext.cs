using GraftWatch.Aftercare.Advising;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.People;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Security;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Pages.Routing;

/// <summary>One request as a page sees it: who asks, when, in which language and units.</summary>
internal sealed class PageContext
{
    private readonly FormSeal seal;
    private IReadOnlyList<MenuEntry> menu = [];

    internal PageContext(HttpContext http, SiteOptions site, FormSeal seal, SignedIn? who, Instant now)
    {
        Http = http;
        Site = site;
        this.seal = seal;
        Who = who;
        Now = now;
        Language = who?.Language ?? PageLanguages.Preferred(http.Request.Headers.AcceptLanguage);
        Words = Phrases.In(Language);
        Figures = new Figures(who?.Grower?.Units ?? UnitSystem.Metric, Language);
        Days = new Days(Language, who?.Grower?.Zone ?? DateTimeZone.Utc);
    }

    /// <summary>The request and its answer.</summary>
    internal HttpContext Http { get; }

    /// <summary>The instant of the request; the only clock a page has.</summary>
    internal Instant Now { get; }

    /// <summary>What the settings say about the pages.</summary>
    internal SiteOptions Site { get; }

    /// <summary>Who is signed in; null for a stranger.</summary>
    internal SignedIn? Who { get; }

    /// <summary>The grower whose pages these are.</summary>
    /// <exception cref="InvalidOperationException">Nobody is signed in who has grafts: map the page with <see cref="Access.Grower"/>.</exception>
    internal Grower Grower => Who?.Grower ?? throw new InvalidOperationException("A page for growers was asked for by nobody who is one.");

    /// <summary>Language of the page.</summary>
    internal PageLanguage Language { get; }

    /// <summary>The words of that language.</summary>
    internal Phrases Words { get; }

    /// <summary>Numbers in the grower's units and language.</summary>
    internal Figures Figures { get; }

    /// <summary>Days and hours in the zone of the grower's letters; for another place make your own.</summary>
    internal Days Days { get; }

    /// <summary>Stops when the caller is gone or the time for an answer is over.</summary>
    internal CancellationToken Stopped => Http.RequestAborted;

    /// <summary>Words of a key; see <see cref="Phrases.Say"/>.</summary>
    internal string Say(string key, params ReadOnlySpan<string> values) => Words.Say(key, values);

    /// <summary>Words for a number of things; see <see cref="Phrases.Count"/>.</summary>
    internal string Count(string key, int count, params ReadOnlySpan<string> values) => Words.Count(key, count, values);

    /// <summary>The address of a page of ours, with the path the site lives under.</summary>
    /// <param name="path">Begins with a slash.</param>
    internal string To(string path) => Site.PathBase + path;

    /// <summary>A value of the address behind the question mark; empty when it is not there.</summary>
    internal string Query(string name, int limit = 200)
    {
        string? value = Http.Request.Query[name];
        return value is null || value.Length > limit ? string.Empty : value;
    }

    /// <summary>A value of the route, such as the label in <c>/grafts/{label}</c>.</summary>
    internal string Route(string name) => Http.GetRouteValue(name) as string ?? string.Empty;

    /// <summary>A service.</summary>
    internal T Service<T>()
        where T : notnull => Http.RequestServices.GetRequiredService<T>();

    /// <summary>Reads the form that was sent, once.</summary>
    internal Task<PageForm> ReadFormAsync() => PageForm.ReadAsync(this);

    /// <summary>What the hidden field of every form holds.</summary>
    internal string FormToken() => seal.Issue(Http, Who);

    /// <summary>A page in the usual frame.</summary>
    /// <param name="title">Heading and title.</param>
    /// <param name="body">Writes what stands below the heading.</param>
    /// <param name="status">Status code.</param>
    internal PageAnswer Show(string title, Action<Html> body, int status = StatusCodes.Status200OK) =>
        PageAnswer.Html(status, Layout.Write(this, menu, title, body));

    /// <summary>Leads on after something was done, with a sentence that says so.</summary>
    /// <param name="path">Path of ours; may have a query.</param>
    /// <param name="said">Key of the sentence, of those that begin with <c>said.</c>; null for none.</param>
    internal PageAnswer Next(string path, string? said = null)
    {
        string target = To(path);
        return PageAnswer.SeeOther(said is null ? target : $"{target}{(target.Contains('?', StringComparison.Ordinal) ? '&' : '?')}said={said["said.".Length..]}");
    }

    /// <summary>A page that says what went wrong and what to do.</summary>
    /// <param name="status">Status code: 400, 403, 404, 413, 429 or 500.</param>
    internal PageAnswer Problem(int status) => ProblemPages.Of(this, status);

    internal void Offers(IReadOnlyList<MenuEntry> entries) => menu = entries;
}
