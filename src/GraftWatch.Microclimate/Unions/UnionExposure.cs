namespace GraftWatch.Microclimate.Unions;

/// <summary>How one union meets the weather: where it faces, how thick it is, what covers it.</summary>
/// <remarks>Equal exposures at one place feel the same climate, so this record is the key by which unions share a computation.</remarks>
public sealed record UnionExposure
{
    /// <summary>Compass direction the union faces, clockwise from north. [°], 0 to 360.</summary>
    public required double AspectDeg { get; init; }

    /// <summary>Lean of the stem from the vertical, towards the aspect. [°], 0 (upright) to 90 (level).</summary>
    public double TiltDeg { get; init; }

    /// <summary>Height of the union above the ground. [m], 0.02 to 15.</summary>
    public required double HeightM { get; init; }

    /// <summary>Diameter of the stem at the union. [m], 0.002 to 0.6.</summary>
    public required double DiameterM { get; init; }

    /// <summary>Share of sunlight the bare bark absorbs. [-]; dark bark 0.80, grey 0.55, whitewash 0.25.</summary>
    public double BarkSolarAbsorptanceFrac { get; init; } = 0.80;

    /// <summary>Infrared emissivity of the bark. [-]</summary>
    public double BarkEmissivityFrac { get; init; } = 0.95;

    /// <summary>Layers from the outermost inwards; empty means bare.</summary>
    public IReadOnlyList<CoverLayer> Covers { get; init; } = [];

    /// <summary>Whether the covers stand open at the bottom, so that air moves under them.</summary>
    public bool Vented { get; init; }

    /// <summary>Share of bare water loss that the union's seal lets through. [-]; waxed 0.05, unsealed cut 1.</summary>
    public double SealPassFrac { get; init; } = 0.05;

    /// <summary>Water of the stem that freezes near -1 °C and holds it there; 0 leaves that plateau out. [kg/m³]; green wood 300 to 450.</summary>
    public double FreezableWaterKgPerM3 { get; init; }

    /// <inheritdoc/>
    public bool Equals(UnionExposure? other) =>
        other is not null
        && AspectDeg.Equals(other.AspectDeg) && TiltDeg.Equals(other.TiltDeg)
        && HeightM.Equals(other.HeightM) && DiameterM.Equals(other.DiameterM)
        && BarkSolarAbsorptanceFrac.Equals(other.BarkSolarAbsorptanceFrac)
        && BarkEmissivityFrac.Equals(other.BarkEmissivityFrac)
        && Vented == other.Vented && SealPassFrac.Equals(other.SealPassFrac)
        && FreezableWaterKgPerM3.Equals(other.FreezableWaterKgPerM3)
        && Covers.SequenceEqual(other.Covers);

    /// <inheritdoc/>
    public override int GetHashCode()
    {
        HashCode hash = default;
        hash.Add(AspectDeg);
        hash.Add(TiltDeg);
        hash.Add(HeightM);
        hash.Add(DiameterM);
        hash.Add(BarkSolarAbsorptanceFrac);
        hash.Add(BarkEmissivityFrac);
        hash.Add(Vented);
        hash.Add(SealPassFrac);
        hash.Add(FreezableWaterKgPerM3);
        foreach (CoverLayer layer in Covers)
        {
            hash.Add(layer);
        }

        return hash.ToHashCode();
    }
}
