using System.Security.Cryptography;
using GraftWatch.Pages.People;
using GraftWatch.Pages.Security;

namespace GraftWatch.Pages.Routing;

/// <summary>What every request passes before a page sees it, and what happens when one breaks.</summary>
internal sealed class Guard(Func<SiteOptions> site, Limits limits, Visitors visitors, ILogger<Guard> logger)
{
    /// <summary>Host, path base, headers, limits; problem pages for what no page answers.</summary>
    internal async Task InvokeAsync(HttpContext http, RequestDelegate next)
    {
        SiteOptions options = site();
        if (!options.IsOurHost(http.Request.Host.Host, http.Connection.LocalIpAddress))
        {
            SecurityHeaders.Set(http);
            await PageAnswer.Plain(StatusCodes.Status421MisdirectedRequest, "This is not the host you asked for.\n").WriteAsync(http).ConfigureAwait(false);
            return;
        }

        Rebase(http, options);
        SecurityHeaders.Set(http);
        try
        {
            if (!limits.MayAsk(http))
            {
                await AnswerAsync(http, StatusCodes.Status429TooManyRequests).ConfigureAwait(false);
                return;
            }

            await next(http).ConfigureAwait(false);
            if (http.Response is { HasStarted: false, StatusCode: StatusCodes.Status404NotFound or StatusCodes.Status405MethodNotAllowed, ContentLength: null })
            {
                await AnswerAsync(http, http.Response.StatusCode).ConfigureAwait(false);
            }
        }
        catch (OperationCanceledException) when (http.RequestAborted.IsCancellationRequested)
        {
            // The caller is gone, or the time for an answer is over and the timeout answers.
            throw;
        }
        catch (BadHttpRequestException refused) when (!http.Response.HasStarted)
        {
            await AnswerAsync(http, refused.StatusCode).ConfigureAwait(false);
        }
        catch (InvalidDataException) when (!http.Response.HasStarted)
        {
            // A form with more fields or longer ones than we read.
            await AnswerAsync(http, StatusCodes.Status413PayloadTooLarge).ConfigureAwait(false);
        }
        catch (Exception broken) when (!http.Response.HasStarted)
        {
            string report = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(4));
            Log.PageBroke(logger, broken, report, http.Request.Method, http.GetEndpoint()?.DisplayName ?? "no page");
            await AnswerAsync(http, StatusCodes.Status500InternalServerError, report).ConfigureAwait(false);
        }
    }

    /// <summary>A proxy may or may not take its own path away before it asks us; pages see the same either way.</summary>
    private static void Rebase(HttpContext http, SiteOptions options)
    {
        if (options.PathBase.Length == 0)
        {
            return;
        }

        if (http.Request.Path.StartsWithSegments(options.PathBase, StringComparison.Ordinal, out PathString rest))
        {
            http.Request.Path = rest.HasValue ? rest : "/";
        }

        http.Request.PathBase = options.PathBase;
    }

    private async Task AnswerAsync(HttpContext http, int status, string? report = null)
    {
        PageContext page = await visitors.StrangerAsync(http).ConfigureAwait(false);
        await ProblemPages.Of(page, status, report).WriteAsync(http).ConfigureAwait(false);
    }
}
