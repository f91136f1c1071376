using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Security;

namespace GraftWatch.Pages.People;

/// <summary>The operator's way in while the settings name nobody: a code that only who runs the machine can read.</summary>
internal sealed class MachinePages(MachineDesk desk, Limits limits) : IPageGroup
{
    /// <summary>Where the code is typed.</summary>
    internal const string Path = "/sign-in/machine";

    public void Map(PageRoutes routes)
    {
        routes.Get(Path, Access.Anyone, page => Task.FromResult(Ask(page)));
        routes.Post(Path, Access.Anyone, EnterAsync);
    }

    private PageAnswer Ask(PageContext page)
    {
        if (!AtTheMachine.IsHere(page.Http, page.Site))
        {
            return page.Problem(StatusCodes.Status404NotFound);
        }

        if (page.Who is { IsOperator: true })
        {
            return page.Next("/operator");
        }

        desk.Tell();
        return Form(page, PageForm.Fresh(page));
    }

    private static PageAnswer Form(PageContext page, PageForm form) => page.Show(page.Say("machine.title"), html =>
    {
        html.Paragraph(page.Say("machine.how"), "lead");
        html.FaultSummary(page, form);
        html.Form(page, Path, () =>
        {
            html.TextField(form, "code", page.Say("first.code"), new FieldLook(page.Say("first.code-how"), IsRequired: true, Limit: 20));
            html.Button(page.Say("machine.enter"));
        });
        html.Paragraph(page.Say("machine.better"), "small");
    });

    private async Task<PageAnswer> EnterAsync(PageContext page)
    {
        if (!AtTheMachine.IsHere(page.Http, page.Site))
        {
            return page.Problem(StatusCodes.Status404NotFound);
        }

        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        string typed = form.Text("code", 20, required: true);
        if (form.IsSound && !limits.MayGuess(page.Http))
        {
            return page.Problem(StatusCodes.Status429TooManyRequests);
        }

        string? token = form.IsSound ? desk.Enter(typed) : null;
        if (token is null)
        {
            desk.Tell();
            return Form(page, form.IsSound ? form.Fault("code", page.Say("first.code-not")) : form);
        }

        PageCookies.SetSession(page.Http, token, TimeSpan.FromDays(1));
        return page.Next("/operator");
    }
}
