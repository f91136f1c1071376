using GraftWatch.Pages.Routing;

namespace GraftWatch.Pages.People;

/// <summary>The address itself: leads on to where the visitor has work.</summary>
internal sealed class FirstPage : IPageGroup
{
    public void Map(PageRoutes routes) => routes.Get("/", Access.Anyone, ShowAsync);

    private static Task<PageAnswer> ShowAsync(PageContext page) => Task.FromResult(page.Who switch
    {
        { Grower: not null } => page.Next("/today"),
        { IsOperator: true } => page.Next("/operator"),
        not null => page.Next("/subscribe/place"),
        null => page.Next("/sign-in"),
    });
}
