namespace GraftWatch.Microclimate.Soil;

/// <summary>What is known or assumed of a place's root zone besides its weather.</summary>
public sealed record RootZone
{
    /// <summary>Crop coefficient: crop over reference evapotranspiration. [-], 0.2 to 1.3; default 0.8, young fruit trees over grass (FAO-56 table 12 spans 0.45 bare to 1.2 with cover).</summary>
    public double CropFrac { get; init; } = 0.8;

    /// <summary>Share of available water that is easy to take. [-], 0.1 to 0.8; default 0.5, fruit trees in [Allen1998] table 22.</summary>
    public double EasyFrac { get; init; } = 0.5;

    /// <summary>Available water left at the first hour. [-], 0 to 1; default 0.9, a spring soil near field capacity (assumed).</summary>
    public double StartWaterFrac { get; init; } = 0.9;

    /// <summary>
    /// Available water left wherever rain is not known. [-], 0 to 1. NaN (the default) assumes nothing: water and all that hangs on
    /// it are then unknown. When set, <see cref="RootZoneHours.Water"/> says that it was used.
    /// </summary>
    public double AssumeWateredFrac { get; init; } = double.NaN;

    /// <summary>Standard for reference evapotranspiration.</summary>
    public ReferenceMethod Method { get; init; } = ReferenceMethod.Asce2005Short;
}

/// <summary>What a root zone's water rests on.</summary>
public enum WaterBasis
{
    /// <summary>Rain is not known and nothing was assumed: water is NaN.</summary>
    Unknown = 0,

    /// <summary>Rain is not known; <see cref="RootZone.AssumeWateredFrac"/> stands in.</summary>
    Assumed,

    /// <summary>A water balance from rain and evapotranspiration; irrigation is not known to it.</summary>
    Balanced,
}
