namespace GraftWatch.Serving;

/// <summary>What the web side of the daemon answers. What came in on the listener for watching stays there.</summary>
internal static class ServeEndpoints
{
    internal static void Map(WebApplication application, ServeParts parts)
    {
        ArgumentNullException.ThrowIfNull(parts);
        application.MapWhen(WatchLine.IsWatch, branch => branch.Run(HealthPage.AnswerAsync));
        application.Run(HealthPage.AnswerAsync);
    }
}
