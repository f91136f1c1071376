namespace GraftWatch.Microclimate.Stem;

/// <summary>How fast a union loses water: boundary layer, seal and covers as resistances in series.</summary>
/// <remarks>
/// A seal or cover that lets the share p of bare water loss through adds (1/p - 1) times the resistance of a bare unsealed
/// cut at 2 m/s, so that the product of shares comes out there and wind matters less the tighter the wrapping.
/// </remarks>
public sealed class DryingResistance
{
    /// <summary>Resistance of a fresh, unsealed cut. [s/m] Engineering choice, no source.</summary>
    public const double CutSPerM = 20;

    /// <summary>Share of the missing vapour resistance an open (vented) cover gives away. [-] Engineering choice, no source.</summary>
    public const double VentedFrac = 0.5;

    private const double ReferenceWindMPerS = 2;
    private const double ReferenceC = 20;
    private const double ReferenceHeatJPerM3K = 1209;

    private readonly double referenceSPerM;
    private readonly double wrappingSPerM;

    /// <summary>Prepares a union.</summary>
    /// <param name="diameterM">Diameter of the stem. [m]</param>
    /// <param name="passFrac">Product of what seal and covers let through. [-], above 0 to 1.</param>
    public DryingResistance(double diameterM, double passFrac)
    {
        double bareWPerM2K = Convection.CoefficientWPerM2K(ReferenceWindMPerS, diameterM, ReferenceC, ReferenceC);
        referenceSPerM = CutSPerM + (StemBalance.VapourResistanceRatio * ReferenceHeatJPerM3K / bareWPerM2K);
        wrappingSPerM = referenceSPerM * ((1 / Math.Max(passFrac, 1e-6)) - 1);
    }

    /// <summary>Drying demand, 1 for a bare unsealed cut at 1 kPa and 2 m/s.</summary>
    /// <param name="deficitKPa">Vapour pressure deficit at the union's temperature. [kPa]</param>
    /// <param name="convectionWPerM2K">Convection from the outermost surface. [W/m²K]</param>
    /// <param name="airHeatJPerM3K">Heat capacity of air. [J/m³K], about 1200.</param>
    /// <returns>Index. [-]; NaN in gives NaN out.</returns>
    public double Index(double deficitKPa, double convectionWPerM2K, double airHeatJPerM3K) =>
        deficitKPa * referenceSPerM
        / (CutSPerM + wrappingSPerM + (StemBalance.VapourResistanceRatio * airHeatJPerM3K / convectionWPerM2K));
}
