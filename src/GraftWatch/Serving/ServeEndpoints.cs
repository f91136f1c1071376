using GraftWatch.Pages;

namespace GraftWatch.Serving;

/// <summary>What the web side of the daemon answers. What came in on the listener for watching stays there; of the others health has two addresses, the pages take the rest.</summary>
internal static class ServeEndpoints
{
    internal static void Map(WebApplication application, ServeParts parts)
    {
        ArgumentNullException.ThrowIfNull(parts);
        application.MapWhen(WatchLine.IsWatch, branch => branch.Run(HealthPage.AnswerAsync));
        if (parts.Listen is null)
        {
            return;
        }

        foreach (string path in (string[])["/live", "/ready"])
        {
            application.MapWhen(http => http.Request.Path == path, branch => branch.Run(HealthPage.AnswerAsync));
        }

        application.MapSite();
    }
}
