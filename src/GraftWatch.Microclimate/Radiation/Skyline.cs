namespace GraftWatch.Microclimate.Radiation;

/// <summary>What stands between a place and a level horizon: hills, walls, hedges.</summary>
public static class Skyline
{
    /// <summary>Height of the skyline in a direction, linear between the given ones.</summary>
    /// <param name="horizonDeg">Entry k is the height at azimuth k·360/length. [°]; empty is a free horizon.</param>
    /// <param name="azimuthDeg">Direction, clockwise from north. [°], 0 to 360.</param>
    /// <returns>Height. [°]; 0 for an empty profile; NaN in gives NaN out.</returns>
    public static double HeightDeg(IReadOnlyList<double> horizonDeg, double azimuthDeg)
    {
        if (horizonDeg.Count == 0 || !double.IsFinite(azimuthDeg))
        {
            return 0 * azimuthDeg;
        }

        double turns = azimuthDeg / 360;
        double at = (turns - Math.Floor(turns)) * horizonDeg.Count;
        int low = (int)at % horizonDeg.Count;
        double share = at - Math.Floor(at);
        return ((1 - share) * horizonDeg[low]) + (share * horizonDeg[(low + 1) % horizonDeg.Count]);
    }
}
