namespace GraftWatch.Forecasts.Fetching;

/// <summary>What the open forecast API counts a request as.</summary>
/// <remarks>Per location max(1, v/10, v/10 · days/14), v = columns × models × members (open-meteo server source, calculateQueryWeight; checked against its own test values).</remarks>
internal static class RequestWeight
{
    /// <summary>Weight of one request. [calls]</summary>
    public static double Of(int columns, int days, int locations, int members = 1)
    {
        double perTen = columns * members / 10.0;
        return locations * Math.Max(1, Math.Max(perTen, perTen * days / 14.0));
    }
}
