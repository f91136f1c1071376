namespace GraftWatch.Pages.Security;

/// <summary>Whether a request that acts was sent from one of our own pages.</summary>
internal static class SameOrigin
{
    /// <summary>Fetch metadata decides where the browser sends it, else the origin (Fetch standard; RFC 6454, 7). A caller that sends neither is no browser; the form token then stands alone.</summary>
    internal static bool Holds(HttpContext http)
    {
        IHeaderDictionary headers = http.Request.Headers;
        string? site = headers["Sec-Fetch-Site"];
        if (!string.IsNullOrEmpty(site))
        {
            return site == "same-origin";
        }

        string? origin = headers.Origin;
        return string.IsNullOrEmpty(origin)
            || (Uri.TryCreate(origin, UriKind.Absolute, out Uri? from)
                && from.Scheme == http.Request.Scheme
                && string.Equals(from.Authority, Authority(http), StringComparison.OrdinalIgnoreCase));
    }

    private static string Authority(HttpContext http) =>
        Uri.TryCreate($"{http.Request.Scheme}://{http.Request.Host.Value}", UriKind.Absolute, out Uri? self) ? self.Authority : string.Empty;
}
