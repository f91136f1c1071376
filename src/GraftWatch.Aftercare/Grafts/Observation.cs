using NodaTime;

namespace GraftWatch.Aftercare.Grafts;

/// <summary>What the grower saw or did at a graft. The clock follows it and never overrules it.</summary>
/// <param name="Label">The graft.</param>
/// <param name="At">When.</param>
/// <param name="Kind">What.</param>
/// <param name="Value">A number where the kind has one: shoot length [m] or BBCH code.</param>
/// <param name="Words">A word where the kind has one: the key of the cover or seal put on.</param>
public sealed record Observation(string Label, Instant At, ObservationKind Kind, double? Value = null, string? Words = null);

/// <summary>Kinds of sightings and of work done.</summary>
public enum ObservationKind
{
    /// <summary>BBCH code of the buds, in the value.</summary>
    Bbch,

    /// <summary>Green tip seen.</summary>
    GreenTip,

    /// <summary>Leaves are out.</summary>
    LeafOut,

    /// <summary>Shoot length in metres, in the value.</summary>
    ShootLength,

    /// <summary>The shoot kept extending after its first flush: taken.</summary>
    Taken,

    /// <summary>The tie cuts into the bark.</summary>
    TieGrooved,

    /// <summary>The tie sits loose.</summary>
    TieSlack,

    /// <summary>The scion is dead.</summary>
    Dead,

    /// <summary>The cover was put on; the words say which.</summary>
    CoverOn,

    /// <summary>The cover was vented.</summary>
    CoverVented,

    /// <summary>The cover was taken off.</summary>
    CoverOff,

    /// <summary>The tie was slit or taken off.</summary>
    TieOff,

    /// <summary>The shoot was staked.</summary>
    Staked,

    /// <summary>The stock was headed back.</summary>
    HeadedBack,

    /// <summary>Stock shoots were rubbed off.</summary>
    StockShootsOff,

    /// <summary>The cover was closed again.</summary>
    CoverClosed,

    /// <summary>The seal was renewed.</summary>
    Resealed,

    /// <summary>The stock was watered through.</summary>
    Watered,

    /// <summary>Relief cuts were made or opened again.</summary>
    Relieved,

    /// <summary>The shoot was tied in.</summary>
    TiedIn,

    /// <summary>Blossoms or fruit were seen on the scion.</summary>
    BlossomSeen,
}
