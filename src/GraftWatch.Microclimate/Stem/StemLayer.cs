namespace GraftWatch.Microclimate.Stem;

/// <summary>One layer around a stem as the balance sees it; see <see cref="StemCovers"/>.</summary>
/// <param name="SolarAbsorptanceFrac">Share of sunlight absorbed. [-]</param>
/// <param name="SolarTransmittanceFrac">Share of sunlight that passes. [-]</param>
/// <param name="EmissivityFrac">Infrared emissivity of the outer face. [-]</param>
/// <param name="InfraredTransmittanceFrac">Share of thermal infrared that passes. [-]</param>
/// <param name="GapResistanceM2KPerW">Resistance between this layer and what lies under it. [m²K/W]; 0 touches.</param>
public readonly record struct StemLayer(
    double SolarAbsorptanceFrac,
    double SolarTransmittanceFrac,
    double EmissivityFrac,
    double InfraredTransmittanceFrac,
    double GapResistanceM2KPerW);
