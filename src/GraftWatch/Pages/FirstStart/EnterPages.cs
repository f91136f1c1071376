using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Security;

namespace GraftWatch.Pages.FirstStart;

/// <summary>The way in: a code that only who runs the machine can read.</summary>
internal sealed class EnterPages(FirstStartDesk desk, Limits limits) : IPageGroup
{
    public void Map(PageRoutes routes)
    {
        routes.Get("/", Access.Anyone, page => Task.FromResult(desk.IsIn(page.Http) ? page.Next(desk.IsWritten ? "/first-start/done" : desk.Draft.NextStep) : Form(page, PageForm.Fresh(page).With("code", page.Query("code", 20)))));
        routes.Post("/first-start", Access.Anyone, EnterAsync);
    }

    private static PageAnswer Form(PageContext page, PageForm form) => page.Show(page.Say("first.welcome"), html =>
    {
        html.Paragraph(page.Say("first.welcome-how"), "lead");
        html.FaultSummary(page, form);
        html.Form(page, "/first-start", () =>
        {
            html.TextField(form, "code", page.Say("first.code"), new FieldLook(page.Say("first.code-how"), IsRequired: true, Limit: 20));
            html.Button(page.Say("first.begin"));
        });
    });

    private async Task<PageAnswer> EnterAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        string code = form.Text("code", 20, required: true);
        string? token = form.IsSound ? desk.Enter(code) : null;
        if (token is null)
        {
            return limits.MayGuess(page.Http) ? Form(page, form.Fault("code", page.Say("first.code-not"))) : page.Problem(StatusCodes.Status429TooManyRequests);
        }

        PageCookies.SetSession(page.Http, token, TimeSpan.FromDays(1));
        return page.Next(desk.Draft.NextStep);
    }
}
