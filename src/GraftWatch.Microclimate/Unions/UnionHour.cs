namespace GraftWatch.Microclimate.Unions;

/// <summary>One hour at one union as a row: what a table, a CSV or a picture of the union shows.</summary>
/// <param name="SunAltitudeDeg">True altitude of the sun at the middle of the hour, no refraction. [°]</param>
/// <param name="SunAzimuthDeg">Azimuth of the sun at the middle of the hour, clockwise from north. [°]</param>
/// <param name="BeamOnUnionWPerM2">Direct sun on the patch, circumsolar not included. [W/m²]</param>
/// <param name="DiffuseOnUnionWPerM2">Sky and ground-reflected light on the patch. [W/m²]</param>
/// <param name="BarkC">Outermost surface at the patch. [°C]</param>
/// <param name="CambiumC">Living layer at the patch. [°C]</param>
/// <param name="TissueNightC">Bud beside the union while the sun is below the horizon, NaN while <paramref name="SunAltitudeDeg"/> is 0 or more. [°C]</param>
/// <param name="VpdKPa">Vapour pressure deficit at the union's temperature. [kPa]</param>
/// <param name="DryingIndex">Drying demand after seal and covers. [-]</param>
/// <param name="WindMPerS">Wind at the union. [m/s]</param>
public readonly record struct UnionHour(
    double SunAltitudeDeg,
    double SunAzimuthDeg,
    double BeamOnUnionWPerM2,
    double DiffuseOnUnionWPerM2,
    double BarkC,
    double CambiumC,
    double TissueNightC,
    double VpdKPa,
    double DryingIndex,
    double WindMPerS)
{
    /// <summary>Reads one hour.</summary>
    /// <param name="sky">The sky the union was computed under.</param>
    /// <param name="union">The union.</param>
    /// <param name="hour">Index of the hour.</param>
    /// <returns>The row; NaN where an input is missing.</returns>
    public static UnionHour Of(SkyHours sky, UnionHours union, int hour)
    {
        double altitudeDeg = 90 - sky.SunZenithDeg[hour];
        return new UnionHour(
            altitudeDeg,
            sky.SunAzimuthDeg[hour],
            union.BeamOnUnionWPerM2[hour],
            union.DiffuseOnUnionWPerM2[hour],
            union.BarkC[hour],
            union.CambiumC[hour],
            altitudeDeg < 0 ? union.BudC[hour] : double.NaN,
            union.VpdKPa[hour],
            union.DryingIndex[hour],
            union.WindMPerS[hour]);
    }
}
