namespace GraftWatch.Microclimate.Wind;

/// <summary>One scion's shoot in the wind: size, support and how strong its union is.</summary>
public readonly record struct ShootLoadInputs
{
    /// <summary>Makes the inputs with their defaults.</summary>
    public ShootLoadInputs()
    {
    }

    /// <summary>Length of the longest shoot above the union. [m], 0 or more.</summary>
    public required double ShootLengthM { get; init; }

    /// <summary>Diameter at the union, over bark. [m], above 0.</summary>
    public required double UnionDiameterM { get; init; }

    /// <summary>Strength of the union as a share of grown-together wood. [-], 0 to 1, see <see cref="UnionStrength"/>.</summary>
    public required double StrengthFrac { get; init; }

    /// <summary>Share of the 10 m gust that reaches the middle of the shoot: profile times shelter. [-], 0 to 1.5.</summary>
    public required double GustShareFrac { get; init; }

    /// <summary>Share of full leaf. [-], 0 (bare) to 1.</summary>
    public double LeafFrac { get; init; } = 1;

    /// <summary>Frontal width of the shoot in full leaf. [m], default <see cref="ShootDrag.LeafyWidthM"/>.</summary>
    public double LeafyWidthM { get; init; } = ShootDrag.LeafyWidthM;

    /// <summary>Mean diameter of the shoot's own stem. [m], default 0.006.</summary>
    public double ShootDiameterM { get; init; } = 0.006;

    /// <summary>What holds the shoot besides its union.</summary>
    public ShootSupport Support { get; init; } = ShootSupport.Free;

    /// <summary>Distance of the tie above the union. [m]; NaN takes two thirds of the shoot. Read only when tied.</summary>
    public double TieHeightM { get; init; } = double.NaN;

    /// <summary>Bending strength of the green wood. [Pa], default <see cref="UnionBending.GreenWoodStrengthPa"/>.</summary>
    public double WoodStrengthPa { get; init; } = UnionBending.GreenWoodStrengthPa;

    /// <summary>Density of the air. [kg/m³], default <see cref="ShootDrag.StandardAirDensityKgPerM3"/>.</summary>
    public double AirDensityKgPerM3 { get; init; } = ShootDrag.StandardAirDensityKgPerM3;
}
