namespace GraftWatch.Microclimate.Wind;

/// <summary>How far stock and scion have joined, as far as strength goes.</summary>
public enum JoinState
{
    /// <summary>Callus bridges the gap.</summary>
    Bridged,

    /// <summary>The cambium is whole across the union.</summary>
    CambiumWhole,

    /// <summary>New vessels cross the union.</summary>
    VesselsLinked,

    /// <summary>The scion's shoot grows.</summary>
    Growing,

    /// <summary>The first season's wood has ripened.</summary>
    Lignified,

    /// <summary>The second season is under way.</summary>
    SecondSeason,
}

/// <summary>Strength of a union as a share of what it will be when grown together. An estimate throughout: no curve for fruit trees is published.</summary>
public static class UnionStrength
{
    /// <summary>Strength of a fresh union, before any healing. [-]; set so that the curve has the slow start of [Moore1983].</summary>
    public const double FreshFrac = 0.005;

    /// <summary>Share of its final strength a union has when vessels link. [-], 13 % early wall cohesion and 44 % callus interlock, [Moore1983].</summary>
    public const double VascularLinkFrac = 0.57;

    /// <summary>Strength by healing progress.</summary>
    /// <param name="healingDays">Healing done, in days at the best temperature. [d], 0 or more.</param>
    /// <param name="vascularLinkDays">Healing at which vessels link. [d], above 0.</param>
    /// <param name="finalFrac">Final strength of this pair. [-], 1 for a good pair, 0.6 for brittle pairs (engineering default).</param>
    /// <returns>Share of grown-together wood. [-], 0.005 · final to final; NaN where an input is NaN or out of range.</returns>
    /// <remarks>
    /// Logistic in healing: <c>f = f_final / (1 + exp(-(H - H50)/s))</c>, set so that f(0) = 0.005 and f(vascular link) = 0.57 of
    /// the final strength. It then passes 0.13, the share of early wall cohesion, at 0.61 of the way to the link, and fits the
    /// measured course on Sedum (about 3 of 56 g/mm² after three days, the plateau after eleven) [Moore1983]. Its use for woody
    /// plants, whose union keeps its tie meanwhile, is an engineering default.
    /// </remarks>
    public static double Fraction(double healingDays, double vascularLinkDays, double finalFrac = 1)
    {
        if (!(healingDays >= 0) || !(vascularLinkDays > 0) || !(finalFrac is > 0 and <= 1))
        {
            return double.NaN;
        }

        double start = Math.Log((1 / FreshFrac) - 1);
        double rise = start + Math.Log(VascularLinkFrac / (1 - VascularLinkFrac));
        return finalFrac / (1 + Math.Exp(start - (rise * healingDays / vascularLinkDays)));
    }

    /// <summary>Strength by what a grower sees.</summary>
    /// <param name="state">How far the union has joined.</param>
    /// <returns>Share of grown-together wood. [-]</returns>
    /// <remarks>A proxy by stage: 0.05, 0.15, 0.35, 0.5, 0.75, 0.95; common practice, no source.</remarks>
    public static double OfState(JoinState state) => state switch
    {
        JoinState.Bridged => 0.05,
        JoinState.CambiumWhole => 0.15,
        JoinState.VesselsLinked => 0.35,
        JoinState.Growing => 0.50,
        JoinState.Lignified => 0.75,
        JoinState.SecondSeason => 0.95,
        _ => throw new ArgumentOutOfRangeException(nameof(state), state, "Unknown state."),
    };
}
