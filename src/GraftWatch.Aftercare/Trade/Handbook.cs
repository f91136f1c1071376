using GraftWatch.Aftercare.Thresholds;

namespace GraftWatch.Aftercare.Trade;

/// <summary>All that the grower may dispute and edit: species.toml, materials.toml and thresholds.toml, read and checked.</summary>
/// <param name="Species">By key; aliases are resolved when the register is read.</param>
/// <param name="Covers">By key, <c>none</c> included.</param>
/// <param name="Ties">By key, <c>none</c> included.</param>
/// <param name="Seals">By key, <c>none</c> included.</param>
/// <param name="Work">By action key.</param>
/// <param name="Thresholds">Levels and task windows.</param>
public sealed record Handbook(
    IReadOnlyDictionary<string, SpeciesTraits> Species,
    IReadOnlyDictionary<string, CoverMaterial> Covers,
    IReadOnlyDictionary<string, TieMaterial> Ties,
    IReadOnlyDictionary<string, SealMaterial> Seals,
    IReadOnlyDictionary<string, WorkNeed> Work,
    ThresholdSet Thresholds);
