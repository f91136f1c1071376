using GraftWatch.Microclimate.Unions;

namespace GraftWatch.Aftercare.Trade;

/// <summary>A cover as materials.toml describes it; <c>none</c> is the bare union.</summary>
/// <param name="Key">Key in the register, such as <c>foil</c>.</param>
/// <param name="Name">Name in letters, such as "foil sleeve".</param>
/// <param name="Layers">Physics, outermost first; empty for <c>none</c>.</param>
/// <param name="FitMinutes">Minutes to fit one. [min]</param>
/// <param name="WetInside">Whether water or steam stays under it when closed.</param>
/// <param name="FrostGainK">What it adds to a shoot's temperature on a frost night when it reaches over the shoot (fleece). [K]</param>
/// <param name="Source">Where the numbers come from.</param>
public sealed record CoverMaterial(string Key, string Name, IReadOnlyList<CoverLayer> Layers, double FitMinutes, bool WetInside, double FrostGainK, string Source);

/// <summary>A tie as materials.toml describes it.</summary>
/// <param name="Key">Key in the register, such as <c>raffia</c>.</param>
/// <param name="Name">Name in letters.</param>
/// <param name="FirstLookDays">Days to the first look. [d]</param>
/// <param name="SlitFromDays">Earliest slitting. [d]; NaN when it is never slit (stretch film that ruptures).</param>
/// <param name="SlitByDays">Latest slitting. [d]; NaN when never.</param>
/// <param name="Rots">Whether sun and rain part it by themselves.</param>
/// <param name="Source">Where the numbers come from.</param>
public sealed record TieMaterial(string Key, string Name, double FirstLookDays, double SlitFromDays, double SlitByDays, bool Rots, string Source);

/// <summary>A seal as materials.toml describes it.</summary>
/// <param name="Key">Key in the register, such as <c>wax</c>.</param>
/// <param name="Name">Name in letters.</param>
/// <param name="PassFrac">Share of bare water loss it lets through. [-]</param>
/// <param name="Source">Where the number comes from.</param>
public sealed record SealMaterial(string Key, string Name, double PassFrac, string Source);

/// <summary>What one kind of work takes: minutes a union and what to bring.</summary>
/// <param name="Key">Key of the action, such as <c>stake</c>.</param>
/// <param name="Minutes">Minutes for one union, walking not included. [min]</param>
/// <param name="Bring">What to carry, in letters' words.</param>
public sealed record WorkNeed(string Key, double Minutes, IReadOnlyList<string> Bring);
