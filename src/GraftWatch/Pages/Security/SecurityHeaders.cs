namespace GraftWatch.Pages.Security;

/// <summary>Headers every answer of the site carries.</summary>
internal static class SecurityHeaders
{
    private const string Policy =
        "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'";

    private const string Permissions = "accelerometer=(), camera=(), display-capture=(), geolocation=(self), gyroscope=(), magnetometer=(), microphone=(), payment=(), usb=()";

    internal static void Set(HttpContext http)
    {
        IHeaderDictionary headers = http.Response.Headers;
        headers.ContentSecurityPolicy = Policy;
        headers.XContentTypeOptions = "nosniff";
        headers.XFrameOptions = "DENY";
        // Not "no-referrer": a browser would then send its own forms with an origin of "null" (Fetch, 3.2), which we refuse.
        headers["Referrer-Policy"] = "same-origin";
        headers["Cross-Origin-Opener-Policy"] = "same-origin";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        headers["Permissions-Policy"] = Permissions;
        headers["X-Robots-Tag"] = "noindex, nofollow";
        if (http.Request.IsHttps)
        {
            headers.StrictTransportSecurity = "max-age=31536000";
        }
    }
}
