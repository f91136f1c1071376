namespace GraftWatch.Microclimate.Soil;

/// <summary>What one step did to the water in the root zone; depletion + drainage balances rain, irrigation and use.</summary>
/// <param name="DepletionMm">Water missing from field capacity after the step. [mm], 0 to the total available water.</param>
/// <param name="UseMm">Water the crop took. [mm], not more than was there.</param>
/// <param name="DrainageMm">Water that ran through. [mm], 0 or more.</param>
public readonly record struct BucketStep(double DepletionMm, double UseMm, double DrainageMm);

/// <summary>The root zone as a bucket: the single-coefficient water balance of FAO-56.</summary>
/// <param name="AvailableMm">Total available water between field capacity and wilting. [mm], above 0.</param>
/// <param name="EasyFrac">Share of it that is easy to take at 5 mm/d, <c>p</c> of the standard's table 22. [-], 0.1 to 0.8; fruit trees 0.5.</param>
public readonly record struct WaterBucket(double AvailableMm, double EasyFrac = 0.5)
{
    /// <summary>Total available water of a soil.</summary>
    /// <param name="fieldCapacityM3PerM3">Water content at field capacity. [m³/m³]</param>
    /// <param name="wiltingM3PerM3">Water content at wilting. [m³/m³]</param>
    /// <param name="rootDepthM">Depth of the root zone. [m], 0 or more.</param>
    /// <returns>Water. [mm]; NaN where an input is NaN.</returns>
    /// <remarks>[Allen1998] eq. 82.</remarks>
    public static double TotalAvailableMm(double fieldCapacityM3PerM3, double wiltingM3PerM3, double rootDepthM) =>
        1000 * (fieldCapacityM3PerM3 - wiltingM3PerM3) * rootDepthM;

    /// <summary>Share of easy water at a rate of use.</summary>
    /// <param name="useMmPerDay">Crop evapotranspiration. [mm/d], 0 or more.</param>
    /// <returns>Share. [-], 0.1 to 0.8; NaN where the input is NaN.</returns>
    /// <remarks>[Allen1998] note to table 22: <c>p + 0.04 (5 - ETc)</c> between 0.1 and 0.8.</remarks>
    public double EasyFracAt(double useMmPerDay) => Math.Clamp(EasyFrac + (0.04 * (5 - useMmPerDay)), 0.1, 0.8);

    /// <summary>Readily available water at a rate of use.</summary>
    /// <param name="useMmPerDay">Crop evapotranspiration. [mm/d], 0 or more.</param>
    /// <returns>Water. [mm]; NaN where the input is NaN.</returns>
    /// <remarks>[Allen1998] eq. 83.</remarks>
    public double EasyMm(double useMmPerDay) => EasyFracAt(useMmPerDay) * AvailableMm;

    /// <summary>How far drought closes the crop down.</summary>
    /// <param name="depletionMm">Water missing from field capacity. [mm], 0 to <see cref="AvailableMm"/>.</param>
    /// <param name="useMmPerDay">Crop evapotranspiration without stress. [mm/d], 0 or more.</param>
    /// <returns>Stress coefficient. [-], 1 none, 0 wilting; NaN where an input is NaN.</returns>
    /// <remarks>[Allen1998] eq. 84.</remarks>
    public double StressFrac(double depletionMm, double useMmPerDay) =>
        Math.Clamp((AvailableMm - depletionMm) / (AvailableMm - EasyMm(useMmPerDay)), 0, 1);

    /// <summary>Moves the balance one step on.</summary>
    /// <param name="depletionMm">Water missing from field capacity before. [mm], 0 to <see cref="AvailableMm"/>.</param>
    /// <param name="useMm">Crop evapotranspiration of the step without stress; negative (dew) counts as none. [mm]</param>
    /// <param name="useMmPerDay">The same as a daily rate, for the stress. [mm/d]</param>
    /// <param name="rainMm">Rain and irrigation of the step. [mm], 0 or more.</param>
    /// <returns>State after the step; all NaN where an input is NaN.</returns>
    /// <remarks>[Allen1998] eq. 85 and 88 without runoff and capillary rise: what field capacity cannot hold after the step's use drains at once.</remarks>
    public BucketStep Step(double depletionMm, double useMm, double useMmPerDay, double rainMm)
    {
        double wanted = StressFrac(depletionMm, useMmPerDay) * Math.Max(useMm, 0);
        double taken = Math.Min(wanted, AvailableMm - depletionMm + rainMm);
        double balance = depletionMm - rainMm + taken;
        double after = Math.Max(balance, 0);
        double drainage = Math.Max(-balance, 0);
        return double.IsNaN(after) || double.IsNaN(drainage)
            ? new BucketStep(double.NaN, double.NaN, double.NaN)
            : new BucketStep(after, taken, drainage);
    }
}
