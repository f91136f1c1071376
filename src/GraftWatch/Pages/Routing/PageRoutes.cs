using GraftWatch.Pages.People;
using GraftWatch.Pages.Security;
using Microsoft.AspNetCore.Http.Features;

namespace GraftWatch.Pages.Routing;

/// <summary>Maps addresses to handlers, with everything every page needs around them.</summary>
internal sealed class PageRoutes(IEndpointRouteBuilder endpoints, IReadOnlyList<MenuEntry> menu)
{
    /// <summary>Bytes a form may have.</summary>
    internal const long FormLimit = 64 * 1024;

    /// <summary>Bytes a form with a file may have.</summary>
    internal const long UploadLimit = 2 * 1024 * 1024;

    /// <summary>A page that shows. It changes nothing: scanners and prefetchers follow every link.</summary>
    internal void Get(string path, Access access, Func<PageContext, Task<PageAnswer>> handler) =>
        endpoints.MapMethods(path, [HttpMethods.Get, HttpMethods.Head], http => AnswerAsync(http, access, handler));

    /// <summary>A page that acts on a form of ours: same origin and form token are checked before.</summary>
    internal void Post(string path, Access access, Func<PageContext, Task<PageAnswer>> handler, long limit = FormLimit) =>
        endpoints.MapMethods(path, [HttpMethods.Post], http => ActAsync(http, access, handler, limit));

    /// <summary>A page that acts on an address that is its own proof, such as a signed link of a letter; no cookie counts there.</summary>
    internal void PostByAddress(string path, Func<PageContext, Task<PageAnswer>> handler) =>
        endpoints.MapMethods(path, [HttpMethods.Post], http =>
        {
            Bound(http, FormLimit);
            return AnswerAsync(http, Access.Anyone, handler, ignoreCookies: true);
        });

    /// <summary>As <see cref="Get"/>, for an address that is its own proof.</summary>
    internal void GetByAddress(string path, Func<PageContext, Task<PageAnswer>> handler) =>
        endpoints.MapMethods(path, [HttpMethods.Get, HttpMethods.Head], http => AnswerAsync(http, Access.Anyone, handler, ignoreCookies: true));

    private async Task ActAsync(HttpContext http, Access access, Func<PageContext, Task<PageAnswer>> handler, long limit)
    {
        Bound(http, limit);
        await AnswerAsync(http, access, async page =>
        {
            if (!SameOrigin.Holds(http) || !await page.Service<FormSeal>().HoldsAsync(page).ConfigureAwait(false))
            {
                return page.Problem(StatusCodes.Status403Forbidden);
            }

            return await handler(page).ConfigureAwait(false);
        }).ConfigureAwait(false);
    }

    private async Task AnswerAsync(HttpContext http, Access access, Func<PageContext, Task<PageAnswer>> handler, bool ignoreCookies = false)
    {
        PageContext page = await http.RequestServices.GetRequiredService<Visitors>().MeetAsync(http, ignoreCookies).ConfigureAwait(false);
        page.Offers(menu);
        PageAnswer answer = Refusal(page, access) ?? await handler(page).ConfigureAwait(false);
        await answer.WriteAsync(http).ConfigureAwait(false);
    }

    private static PageAnswer? Refusal(PageContext page, Access access)
    {
        bool allowed = access switch
        {
            Access.Anyone => true,
            Access.SignedIn => page.Who is { IsByPlace: false },
            Access.Grower => page.Who?.Grower is not null,
            Access.Operator => page.Who is { IsOperator: true },
            _ => throw new System.Diagnostics.UnreachableException(),
        };
        if (allowed)
        {
            return null;
        }

        // Who entered by the code has no address: what belongs to one asks them to sign in.
        if (page.Who is { IsByPlace: false })
        {
            return page.Problem(StatusCodes.Status403Forbidden);
        }

        string asked = page.Http.Request.Path + page.Http.Request.QueryString;
        return HttpMethods.IsPost(page.Http.Request.Method) || asked.Length > 300
            ? page.Next("/sign-in")
            : page.Next("/sign-in?to=" + Uri.EscapeDataString(asked));
    }

    private static void Bound(HttpContext http, long limit)
    {
        if (http.Features.Get<IHttpMaxRequestBodySizeFeature>() is { IsReadOnly: false } feature)
        {
            feature.MaxRequestBodySize = limit;
        }
    }
}
