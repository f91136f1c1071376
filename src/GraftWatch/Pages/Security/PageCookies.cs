namespace GraftWatch.Pages.Security;

/// <summary>The two cookies of the pages. Over TLS their names bind them to this host (RFC 6265bis, 4.1.3).</summary>
internal static class PageCookies
{
    private const string VisitName = "gw-visit";
    private const string SessionName = "gw-session";

    /// <summary>Marks a browser, so that a form can be told from a forged one.</summary>
    internal static string? Visit(HttpContext http) => Read(http, VisitName);

    /// <summary>Proves who is signed in.</summary>
    internal static string? Session(HttpContext http) => Read(http, SessionName);

    internal static void SetVisit(HttpContext http, string value) => Write(http, VisitName, value, lifetime: null);

    internal static void SetSession(HttpContext http, string value, TimeSpan lifetime) => Write(http, SessionName, value, lifetime);

    internal static void DropSession(HttpContext http) =>
        http.Response.Cookies.Delete(Name(http, SessionName), Options(http, lifetime: null));

    private static string? Read(HttpContext http, string name) => http.Request.Cookies[Name(http, name)];

    private static void Write(HttpContext http, string name, string value, TimeSpan? lifetime) =>
        http.Response.Cookies.Append(Name(http, name), value, Options(http, lifetime));

    private static string Name(HttpContext http, string name) =>
        !http.Request.IsHttps ? name : http.Request.PathBase.HasValue ? "__Secure-" + name : "__Host-" + name;

    private static CookieOptions Options(HttpContext http, TimeSpan? lifetime) => new()
    {
        HttpOnly = true,
        IsEssential = true,
        MaxAge = lifetime,
        Path = http.Request.PathBase.HasValue ? http.Request.PathBase.Value : "/",
        SameSite = SameSiteMode.Lax,
        Secure = http.Request.IsHttps,
    };
}
