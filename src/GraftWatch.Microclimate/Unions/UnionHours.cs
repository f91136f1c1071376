namespace GraftWatch.Microclimate.Unions;

/// <summary>The climate at one union: what <see cref="UnionClimate"/> computes. Arrays per hour that ends at the stamp; NaN where an input is missing.</summary>
public sealed class UnionHours
{
    /// <summary>Makes room for <paramref name="hours"/> hours.</summary>
    public UnionHours(int hours)
        : this(hours, new double[hours])
    {
    }

    internal UnionHours(int hours, double[] budC)
    {
        BeamOnUnionWPerM2 = new double[hours];
        DiffuseOnUnionWPerM2 = new double[hours];
        BarkC = new double[hours];
        CambiumC = new double[hours];
        MeanStemC = new double[hours];
        BudC = budC;
        VpdKPa = new double[hours];
        DryingIndex = new double[hours];
        WindMPerS = new double[hours];
    }

    /// <summary>Direct sun on the patch that faces the aspect, before covers and shade cloth; circumsolar not included. [W/m²]</summary>
    public double[] BeamOnUnionWPerM2 { get; }

    /// <summary>Sky and ground-reflected light on the same patch, before covers and shade cloth. [W/m²]</summary>
    public double[] DiffuseOnUnionWPerM2 { get; }

    /// <summary>Outermost surface at the patch: the cover's, or the bark's when bare. [°C]</summary>
    public double[] BarkC { get; }

    /// <summary>The living layer at the patch. [°C]</summary>
    public double[] CambiumC { get; }

    /// <summary>Stem mean around the circumference. [°C]</summary>
    public double[] MeanStemC { get; }

    /// <summary>A small bud or green shoot beside the union, not under the cover: for frost. [°C]</summary>
    public double[] BudC { get; }

    /// <summary>Vapour pressure deficit at the union's own temperature. [kPa], not below 0.</summary>
    public double[] VpdKPa { get; }

    /// <summary>Drying demand after seal and covers, 1 for bare unsealed wood at 1 kPa and 2 m/s. [-]</summary>
    public double[] DryingIndex { get; }

    /// <summary>Mean wind at the union's height, shelter included. [m/s]</summary>
    public double[] WindMPerS { get; }
}
