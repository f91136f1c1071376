namespace GraftWatch.Microclimate.Wind;

/// <summary>The bending a union withstands, as a round section of green wood.</summary>
public static class UnionBending
{
    /// <summary>Bending strength of green fruit wood, clear and straight. [Pa]; black cherry 55 MPa, [WoodHandbook2010] table 5-3a, from memory.</summary>
    public const double GreenWoodStrengthPa = 55e6;

    /// <summary>Share of the clear-wood strength at which real branches broke when their diameter was measured over bark. [-], [Kane2007].</summary>
    public const double OverBarkFrac = 0.40;

    /// <summary>Moment at which the outer fibre of a round section reaches a stress.</summary>
    /// <param name="diameterM">Diameter. [m], 0 or more.</param>
    /// <param name="stressPa">Stress. [Pa]</param>
    /// <returns>Moment. [N m]; NaN where an input is NaN.</returns>
    /// <remarks><c>M = σ π d³ / 32</c>, elementary beam theory [Young2002] sec. 8.1.</remarks>
    public static double MomentNm(double diameterM, double stressPa) =>
        stressPa * Math.PI * diameterM * diameterM * diameterM / 32;

    /// <summary>Stress at the outer fibre of a round section.</summary>
    /// <param name="momentNm">Bending moment. [N m]</param>
    /// <param name="diameterM">Diameter. [m], above 0.</param>
    /// <returns>Stress. [Pa]; NaN where an input is NaN.</returns>
    /// <remarks><c>σ = 32 M / (π d³)</c>, elementary beam theory [Young2002] sec. 8.1.</remarks>
    public static double StressPa(double momentNm, double diameterM) =>
        32 * momentNm / (Math.PI * diameterM * diameterM * diameterM);

    /// <summary>Moment at which a union is expected to fail.</summary>
    /// <param name="diameterM">Diameter at the union, over bark. [m], 0 or more.</param>
    /// <param name="strengthFrac">Strength of the union as a share of grown-together wood. [-], 0 to 1, see <see cref="UnionStrength"/>.</param>
    /// <param name="woodStrengthPa">Bending strength of the green wood. [Pa], default <see cref="GreenWoodStrengthPa"/>.</param>
    /// <param name="overBarkFrac">Share of it that holds in a real branch measured over bark. [-], default <see cref="OverBarkFrac"/>.</param>
    /// <returns>Moment. [N m]; NaN where an input is NaN.</returns>
    /// <remarks>
    /// <c>M_R = 0.40 · σ_wood · f · π d³ / 32</c>. An estimate: in bending tests branches failed at 0.40 of the clear-wood strength
    /// computed on the circle over bark [Kane2007]; the healing share f is an engineering default.
    /// </remarks>
    public static double ResistanceNm(
        double diameterM,
        double strengthFrac,
        double woodStrengthPa = GreenWoodStrengthPa,
        double overBarkFrac = OverBarkFrac) =>
        strengthFrac * MomentNm(diameterM, overBarkFrac * woodStrengthPa);
}
