namespace GraftWatch.Serving;

/// <summary>What the web side of the daemon answers; pages are mapped before the health page, which takes the rest.</summary>
internal static class ServeEndpoints
{
    internal static void Map(WebApplication application, ServeParts parts)
    {
        ArgumentNullException.ThrowIfNull(parts);
        application.Run(HealthPage.AnswerAsync);
    }
}
