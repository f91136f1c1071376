namespace GraftWatch.Microclimate.Unions;

internal static class SkyHoursSteps
{
    internal static void Fill(SkyHours sky) => throw new NotImplementedException();
}
