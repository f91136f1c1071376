using NodaTime;

namespace GraftWatch.Aftercare.Grafts;

/// <summary>One record of the register: one or several like unions made the same day by one technique on one tree or row.</summary>
public sealed record Graft
{
    /// <summary>Short code on the label, unique in a register.</summary>
    public required string Label { get; init; }

    /// <summary>Name of the place it stands at.</summary>
    public required string Place { get; init; }

    /// <summary>Block, empty when the grower has none.</summary>
    public string Block { get; init; } = string.Empty;

    /// <summary>Row, empty when the grower has none.</summary>
    public string Row { get; init; } = string.Empty;

    /// <summary>Tree, empty when the grower has none.</summary>
    public string Tree { get; init; } = string.Empty;

    /// <summary>Key of the species in the species catalogue, such as <c>apple</c>.</summary>
    public required string Species { get; init; }

    /// <summary>Scion variety in the grower's words.</summary>
    public string Scion { get; init; } = string.Empty;

    /// <summary>Stock in the grower's words.</summary>
    public string Stock { get; init; } = string.Empty;

    /// <summary>How the union was made.</summary>
    public required Technique Technique { get; init; }

    /// <summary>Day of grafting in the place's zone.</summary>
    public required LocalDate Made { get; init; }

    /// <summary>Number of like unions, at least 1.</summary>
    public int Count { get; init; } = 1;

    /// <summary>Compass direction the union faces, clockwise from north. [°], 0 to 360.</summary>
    public required double AspectDeg { get; init; }

    /// <summary>Lean of the stem from the vertical. [°], 0 to 90.</summary>
    public double TiltDeg { get; init; }

    /// <summary>Height of the union above the ground. [m]</summary>
    public required double HeightM { get; init; }

    /// <summary>Diameter at the union. [m]</summary>
    public required double DiameterM { get; init; }

    /// <summary>Key of the cover in the materials catalogue; <c>none</c> when bare.</summary>
    public string Cover { get; init; } = "none";

    /// <summary>Whether the cover has been vented.</summary>
    public bool CoverVented { get; init; }

    /// <summary>Key of the tie in the materials catalogue; <c>none</c> when there is none (any more).</summary>
    public string Tie { get; init; } = "none";

    /// <summary>Key of the seal in the materials catalogue; <c>none</c> when unsealed.</summary>
    public string Seal { get; init; } = "none";

    /// <summary>Length of the longest scion shoot. [m]; null when the grower has not said.</summary>
    public double? ShootM { get; init; }

    /// <summary>BBCH code of the scion's buds, 0 to 99; null when the grower has not said.</summary>
    public int? Bbch { get; init; }

    /// <summary>Nurse buds or branches left on the stock.</summary>
    public int NurseBuds { get; init; }

    /// <summary>How the shoot is held.</summary>
    public ShootSupport Support { get; init; }

    /// <summary>Free words.</summary>
    public string Notes { get; init; } = string.Empty;

    /// <summary>Cells the grower left empty and what was taken for them, one sentence each.</summary>
    public IReadOnlyList<string> Assumed { get; init; } = [];
}

/// <summary>How a union was made.</summary>
public enum Technique
{
    /// <summary>Whip-and-tongue: matched slanting cuts with interlocking tongues.</summary>
    WhipAndTongue,

    /// <summary>Splice (plain whip): matched slanting cuts without tongues.</summary>
    Splice,

    /// <summary>Cleft (wedge): scion wedges in a split stub.</summary>
    Cleft,

    /// <summary>Bark (rind) graft: scion under the slipping bark of a stub.</summary>
    Bark,

    /// <summary>Inlay bark graft: scion fitted into a cut window of bark.</summary>
    Inlay,

    /// <summary>Side veneer or side wedge on a headed or unheaded stock.</summary>
    SideVeneer,

    /// <summary>Saddle: scion astride a wedge-cut stock.</summary>
    Saddle,

    /// <summary>Chip bud.</summary>
    ChipBud,

    /// <summary>T-bud (shield bud).</summary>
    TBud,

    /// <summary>Patch or ring (flute) bud.</summary>
    PatchBud,

    /// <summary>Bridge graft over a wound.</summary>
    Bridge,

    /// <summary>Approach graft or inarch: both partners on their roots.</summary>
    Approach,
}

/// <summary>How the scion's shoot is held against wind.</summary>
public enum ShootSupport
{
    /// <summary>Free.</summary>
    Free = 0,

    /// <summary>Tied to a lath or the snag above the union.</summary>
    Tied,

    /// <summary>Tied to a stake in the ground or a frame.</summary>
    Staked,
}

/// <summary>How far a union has healed; the clock is driven by temperature and corrected by what the grower sees.</summary>
public enum Stage
{
    /// <summary>Cut cells close; nothing to see.</summary>
    Set = 0,

    /// <summary>Callus forms on the cut faces.</summary>
    Callus,

    /// <summary>The calluses meet and a cambium joins.</summary>
    Knit,

    /// <summary>Vessels join; buds push.</summary>
    Push,

    /// <summary>The shoot runs.</summary>
    Run,

    /// <summary>The union's wood ripens.</summary>
    Ripen,

    /// <summary>The tree stands alone.</summary>
    Established,

    /// <summary>The grower has recorded the scion as dead.</summary>
    Failed,
}
