using System.Globalization;

namespace GraftWatch.Pages.Routing;

/// <summary>Pages for what goes wrong: what happened and what to do, never how it looks inside.</summary>
internal static class ProblemPages
{
    private static readonly int[] Known =
    [
        StatusCodes.Status400BadRequest, StatusCodes.Status403Forbidden, StatusCodes.Status404NotFound, StatusCodes.Status405MethodNotAllowed,
        StatusCodes.Status413PayloadTooLarge, StatusCodes.Status429TooManyRequests, StatusCodes.Status500InternalServerError,
    ];

    /// <summary>The page of a status; an unknown one gets the page of 400 or 500.</summary>
    /// <param name="page">The request.</param>
    /// <param name="status">Status code of the answer.</param>
    /// <param name="report">Short id under which the log tells more; null for none.</param>
    internal static PageAnswer Of(PageContext page, int status, string? report = null)
    {
        int words = Known.Contains(status) ? status : status < 500 ? StatusCodes.Status400BadRequest : StatusCodes.Status500InternalServerError;
        string key = "problem." + words.ToString(CultureInfo.InvariantCulture);
        PageAnswer answer = page.Show(
            page.Say(key),
            html =>
            {
                html.Paragraph(page.Say(key + "-do"), "lead");
                if (report is not null)
                {
                    html.Paragraph(page.Say("problem.report", report), "small");
                }

                html.Link(page.To("/"), page.Say("problem.home"), "button");
            },
            status);
        return status == StatusCodes.Status429TooManyRequests ? answer.With("Retry-After", "60") : answer;
    }
}
