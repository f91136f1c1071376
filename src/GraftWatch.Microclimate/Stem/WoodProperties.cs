namespace GraftWatch.Microclimate.Stem;

/// <summary>Heat storage and conduction of wood.</summary>
public static class WoodProperties
{
    /// <summary>Conductivity of a green stem across the grain. [W/mK] Between [MacLean1941] and the stems of [Potter2002].</summary>
    public const double GreenConductivityWPerMK = 0.45;

    /// <summary>Heat capacity of a green stem. [J/m³K] Between [MacLean1941] and the stems of [Potter2002].</summary>
    public const double GreenHeatCapacityJPerM3K = 2.3e6;

    /// <summary>Specific heat of wood below fibre saturation. [WoodHandbook1999] eqs 3-8 to 3-10.</summary>
    /// <param name="temperatureK">Temperature. [K], valid 280 to 420.</param>
    /// <param name="moisturePct">Moisture content of the dry mass. [%], 0 to 30.</param>
    /// <returns>Specific heat. [kJ/kgK]; NaN in gives NaN out.</returns>
    public static double SpecificHeatKJPerKgK(double temperatureK, double moisturePct)
    {
        double dry = 0.1031 + (0.003867 * temperatureK);
        double bound = moisturePct * (-0.06191 + (2.36e-4 * temperatureK) - (1.33e-4 * moisturePct));
        return moisturePct > 0 ? ((dry + (0.01 * moisturePct * 4.19)) / (1 + (0.01 * moisturePct))) + bound : dry + (0 * moisturePct);
    }

    /// <summary>Conductivity across the grain. [WoodHandbook1999] eq. 3-7 below 25 % moisture; [MacLean1941] above 40 %, which is used above 25 %.</summary>
    /// <param name="specificGravity">Dry mass over green volume, relative to water. [-], 0.3 to 0.9.</param>
    /// <param name="moisturePct">Moisture content of the dry mass. [%], 0 to 150.</param>
    /// <returns>Conductivity. [W/mK]; NaN in gives NaN out.</returns>
    public static double ConductivityWPerMK(double specificGravity, double moisturePct) =>
        moisturePct > 25
            ? (specificGravity * (0.200 + (0.0052 * moisturePct))) + 0.0238
            : (specificGravity * (0.1941 + (0.004064 * moisturePct))) + 0.01864;
}
