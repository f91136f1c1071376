namespace GraftWatch.Microclimate.Unions;

internal static class UnionClimateSteps
{
    internal static void Fill(SkyHours sky, UnionExposure exposure, UnionHours hours) => throw new NotImplementedException();
}
