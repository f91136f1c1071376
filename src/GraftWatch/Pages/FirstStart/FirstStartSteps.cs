using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;

namespace GraftWatch.Pages.FirstStart;

/// <summary>What the steps have in common.</summary>
internal static class FirstStartSteps
{
    private static readonly (string Key, string Path)[] Steps =
    [
        ("first.place", "/first-start/place"), ("first.mail", "/first-start/mail"), ("first.grower", "/first-start/grower"),
        ("first.register", "/first-start/register"), ("first.finish", "/first-start/finish"),
    ];

    /// <summary>Answers only the browser that entered the code; others are led to where it is asked for.</summary>
    internal static Func<PageContext, Task<PageAnswer>> Inside(FirstStartDesk desk, Func<PageContext, Task<PageAnswer>> handler) => page =>
        !desk.IsIn(page.Http) ? Task.FromResult(page.Next("/"))
        : desk.IsWritten ? Task.FromResult(page.Next("/first-start/done"))
        : handler(page);

    /// <summary>A step with the row of steps on top.</summary>
    internal static PageAnswer Show(PageContext page, string key, Action<Html> body) => page.Show(page.Say(key), html =>
    {
        using (html.In("ol", ("class", "steps")))
        {
            foreach ((string step, string path) in Steps)
            {
                using (html.In("li"))
                {
                    html.Leaf("a", page.Say(step), ("href", page.To(path)), ("aria-current", step == key ? "step" : null));
                }
            }
        }

        body(html);
    });
}
