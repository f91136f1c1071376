using System.Net;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Follows redirects of GET requests inside the same host and scheme, at most three in a row; any other redirect is handed back as it is.</summary>
internal sealed class SameHostRedirects : DelegatingHandler
{
    private const int MostHops = 3;

    protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
    {
        HttpResponseMessage response = await base.SendAsync(request, cancellationToken).ConfigureAwait(false);
        for (int hop = 0; hop < MostHops && Target(request, response) is { } target; hop++)
        {
            response.Dispose();
            using var next = new HttpRequestMessage(HttpMethod.Get, target) { Version = request.Version, VersionPolicy = request.VersionPolicy };
            foreach (KeyValuePair<string, IEnumerable<string>> header in request.Headers)
            {
                next.Headers.TryAddWithoutValidation(header.Key, header.Value);
            }

            response = await base.SendAsync(next, cancellationToken).ConfigureAwait(false);
        }

        return response;
    }

    private static Uri? Target(HttpRequestMessage request, HttpResponseMessage response)
    {
        bool moved = response.StatusCode is HttpStatusCode.MovedPermanently or HttpStatusCode.Found or HttpStatusCode.TemporaryRedirect or HttpStatusCode.PermanentRedirect;
        if (!moved || request.Method != HttpMethod.Get || request.RequestUri is not { } from || response.Headers.Location is not { } location)
        {
            return null;
        }

        var to = new Uri(from, location);
        return to.Host == from.Host && to.Scheme == from.Scheme && to.Port == from.Port ? to : null;
    }
}
