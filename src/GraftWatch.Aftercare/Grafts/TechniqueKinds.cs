namespace GraftWatch.Aftercare.Grafts;

/// <summary>What techniques have in common.</summary>
internal static class TechniqueKinds
{
    /// <summary>A single bud rather than a scion with several.</summary>
    internal static bool IsBud(this Technique technique) =>
        technique is Technique.ChipBud or Technique.TBud or Technique.PatchBud;

    /// <summary>A scion on the stub of a limb much thicker than itself.</summary>
    internal static bool IsOnStub(this Technique technique) =>
        technique is Technique.Cleft or Technique.Bark or Technique.Inlay;

    /// <summary>The stock keeps its top until the scion grows.</summary>
    internal static bool KeepsTop(this Technique technique) =>
        technique.IsBud() || technique is Technique.SideVeneer or Technique.Approach or Technique.Bridge;

    /// <summary>Name in letters.</summary>
    internal static string Name(this Technique technique) => technique switch
    {
        Technique.WhipAndTongue => "whip-and-tongue graft",
        Technique.Splice => "splice graft",
        Technique.Cleft => "cleft graft",
        Technique.Bark => "bark graft",
        Technique.Inlay => "inlay graft",
        Technique.SideVeneer => "side graft",
        Technique.Saddle => "saddle graft",
        Technique.ChipBud => "chip bud",
        Technique.TBud => "T-bud",
        Technique.PatchBud => "patch bud",
        Technique.Bridge => "bridge graft",
        Technique.Approach => "approach graft",
        _ => throw new ArgumentOutOfRangeException(nameof(technique), technique, "Unknown technique."),
    };
}
