namespace GraftWatch.Microclimate.Stem;

/// <summary>Layers around a stem, outermost first, with the bark as the last node: how light and heat divide between them.</summary>
/// <remarks>
/// Light: reflections back and forth between layers and bark are summed exactly, so absorbed and reflected shares add to 1.
/// Thermal infrared: each node exchanges with the surroundings the share w = emissivity times what the layers outside it pass.
/// Heat: neighbouring nodes are joined by their gap; layers hold no heat. An open (vented) cover lets each inner node give
/// <see cref="VentShareFrac"/> of the outer convection straight to the air.
/// Only the bark conducts around the stem, so eliminating the layers leaves a bare stem with a smaller coefficient and a smaller
/// absorptance: the cosine series needs no second unknown.
/// </remarks>
public sealed class StemCovers
{
    /// <summary>Share of the outer convection that reaches an inner node under an open cover. [-] Engineering choice, no source.</summary>
    public const double VentShareFrac = 0.35;

    /// <summary>Resistance of two faces in contact. [m²K/W]</summary>
    private const double ContactM2KPerW = 1e-5;

    private readonly double[] solarShares;
    private readonly double[] infraredShares;
    private readonly double[] gapsWPerM2K;
    private readonly double ventShareFrac;

    /// <summary>Prepares a stack.</summary>
    /// <param name="layers">Layers, outermost first; empty for a bare stem.</param>
    /// <param name="barkAbsorptanceFrac">Share of sunlight the bark absorbs. [-], 0 to 1.</param>
    /// <param name="barkEmissivityFrac">Infrared emissivity of the bark. [-], 0 to 1.</param>
    /// <param name="vented">Whether the layers stand open.</param>
    public StemCovers(ReadOnlySpan<StemLayer> layers, double barkAbsorptanceFrac, double barkEmissivityFrac, bool vented)
    {
        int bark = layers.Length;
        solarShares = new double[bark + 1];
        infraredShares = new double[bark + 1];
        gapsWPerM2K = new double[bark];
        ventShareFrac = vented ? VentShareFrac : 0;
        FillSolarShares(layers, barkAbsorptanceFrac);
        double passes = 1;
        for (int i = 0; i < bark; i++)
        {
            infraredShares[i] = layers[i].EmissivityFrac * passes;
            passes *= layers[i].InfraredTransmittanceFrac;
            gapsWPerM2K[i] = 1 / Math.Max(layers[i].GapResistanceM2KPerW, ContactM2KPerW);
        }

        infraredShares[bark] = barkEmissivityFrac * passes;
    }

    /// <summary>Prepares a stack whose absorbed shares are known, as published two-node examples give them.</summary>
    /// <param name="solarShares">Absorbed share of each node, outermost first, bark last. [-]</param>
    /// <param name="infraredShares">Infrared share of each node. [-]</param>
    /// <param name="gapsWPerM2K">Conductance between neighbours. [W/m²K], one less than nodes.</param>
    internal StemCovers(double[] solarShares, double[] infraredShares, double[] gapsWPerM2K)
    {
        this.solarShares = solarShares;
        this.infraredShares = infraredShares;
        this.gapsWPerM2K = gapsWPerM2K;
    }

    /// <summary>Absorbed share of sunlight by node, outermost first, bark last. [-]</summary>
    public ReadOnlySpan<double> SolarShares => solarShares;

    /// <summary>Share of thermal infrared each node exchanges with the surroundings, outermost first, bark last. [-]</summary>
    public ReadOnlySpan<double> InfraredShares => infraredShares;

    /// <summary>Eliminates the layers.</summary>
    /// <param name="convectionWPerM2K">Convection from the outermost surface. [W/m²K]</param>
    /// <param name="radiationWPerM2K">Radiative coefficient of a black surface. [W/m²K]</param>
    /// <param name="evaporationWPerM2K">Evaporative coefficient of a wet outermost surface, 0 when dry. [W/m²K]</param>
    /// <returns>The equivalent bare stem.</returns>
    internal StackResponse Eliminate(double convectionWPerM2K, double radiationWPerM2K, double evaporationWPerM2K)
    {
        double ventWPerM2K = ventShareFrac * convectionWPerM2K;
        double coefficient = convectionWPerM2K + (radiationWPerM2K * infraredShares[0]) + evaporationWPerM2K;
        double solar = solarShares[0];
        double infrared = infraredShares[0];
        double outer = 1;

        // Of the outermost surface: its own part and the share it takes of the node being eliminated next.
        double outerSolar = 0, outerInfrared = 0, outerOuter = 0, outerOfNext = 1;
        for (int i = 0; i < gapsWPerM2K.Length; i++)
        {
            double gap = gapsWPerM2K[i];
            double per = 1 / (coefficient + gap);
            outerSolar += outerOfNext * solar * per;
            outerInfrared += outerOfNext * infrared * per;
            outerOuter += outerOfNext * outer * per;
            double joined = gap * per;
            outerOfNext *= joined;
            solar = solarShares[i + 1] + (joined * solar);
            infrared = infraredShares[i + 1] + (joined * infrared);
            outer *= joined;
            coefficient = (radiationWPerM2K * infraredShares[i + 1]) + ventWPerM2K + (joined * coefficient);
        }

        return new StackResponse(coefficient, solar, infrared, outer, outerSolar, outerInfrared, outerOuter, outerOfNext);
    }

    private void FillSolarShares(ReadOnlySpan<StemLayer> layers, double barkAbsorptanceFrac)
    {
        // Reflectance of everything from layer i inwards, found from the bark outwards.
        Span<double> below = stackalloc double[layers.Length + 1];
        below[layers.Length] = 1 - barkAbsorptanceFrac;
        for (int i = layers.Length - 1; i >= 0; i--)
        {
            double passes = layers[i].SolarTransmittanceFrac;
            double reflects = 1 - layers[i].SolarAbsorptanceFrac - passes;
            below[i] = reflects + (passes * passes * below[i + 1] / Escapes(reflects, below[i + 1]));
        }

        double down = 1;
        for (int i = 0; i < layers.Length; i++)
        {
            double passes = layers[i].SolarTransmittanceFrac;
            double reflects = 1 - layers[i].SolarAbsorptanceFrac - passes;
            double under = down * passes / Escapes(reflects, below[i + 1]);
            solarShares[i] = layers[i].SolarAbsorptanceFrac * (down + (under * below[i + 1]));
            down = under;
        }

        solarShares[layers.Length] = down * barkAbsorptanceFrac;
    }

    /// <summary>Share of light that does not return from a round between two faces; two perfect mirrors let nothing in between them either.</summary>
    private static double Escapes(double above, double below) => Math.Max(1e-12, 1 - (above * below));
}

/// <summary>The bare stem a covered one is equivalent to, and how its outermost surface follows.</summary>
/// <param name="CoefficientWPerM2K">Coefficient from bark to surroundings. [W/m²K]</param>
/// <param name="Solar">Light that reaches the bark's balance per incident light. [-]</param>
/// <param name="Infrared">Infrared that reaches the bark's balance per black-body difference. [-]</param>
/// <param name="Outer">Heat put into the outermost surface that reaches the bark's balance. [-]</param>
/// <param name="OuterSolar">Outermost excess per incident light, bark held. [m²K/W]; all four are 0, 0, 0, 1 for a bare stem.</param>
/// <param name="OuterInfrared">Outermost excess per infrared difference, bark held. [m²K/W]</param>
/// <param name="OuterOuter">Outermost excess per heat put into it, bark held. [m²K/W]</param>
/// <param name="OuterOfBark">Outermost excess per bark excess. [-]</param>
internal readonly record struct StackResponse(
    double CoefficientWPerM2K,
    double Solar,
    double Infrared,
    double Outer,
    double OuterSolar,
    double OuterInfrared,
    double OuterOuter,
    double OuterOfBark);
