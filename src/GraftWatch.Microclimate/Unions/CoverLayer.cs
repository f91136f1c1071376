namespace GraftWatch.Microclimate.Unions;

/// <summary>One layer around the union, from materials.toml. Optical values are hemispherical, solar and infrared.</summary>
public sealed record CoverLayer
{
    /// <summary>Name as in materials.toml.</summary>
    public required string Name { get; init; }

    /// <summary>Share of sunlight the layer absorbs. [-], 0 to 1.</summary>
    public required double SolarAbsorptanceFrac { get; init; }

    /// <summary>Share of sunlight that passes. [-], 0 to 1; absorptance + transmittance is at most 1.</summary>
    public double SolarTransmittanceFrac { get; init; }

    /// <summary>Infrared emissivity of the outer face. [-], 0.03 to 1.</summary>
    public required double EmissivityFrac { get; init; }

    /// <summary>Share of thermal infrared that passes. [-]; thin polyethylene 0.7, everything else 0.</summary>
    public double InfraredTransmittanceFrac { get; init; }

    /// <summary>Thermal resistance of the air between this layer and what lies under it. [m²K/W]; 0 means it touches.</summary>
    public double GapResistanceM2KPerW { get; init; }

    /// <summary>Outer diameter the layer adds to the stem. [m]</summary>
    public double AddedDiameterM { get; init; } = 0.003;

    /// <summary>Share of bare-bark water loss that still passes when the layer is closed. [-]; film and wax 0.05, paper 0.6.</summary>
    public double VapourPassFrac { get; init; } = 1;

    /// <summary>Nominal shade of a cloth that stands off the stem. [-], 0 to 1; 0 for a layer that wraps the stem. A shade cloth changes the inputs and adds no node.</summary>
    public double ShadeFrac { get; init; }
}
