using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Thresholds;

namespace GraftWatch.Aftercare.Remedies;

/// <summary>A piece of work that changes how a union meets the weather.</summary>
internal sealed record Remedy
{
    /// <summary>Which work.</summary>
    internal required WorkAction Action { get; init; }

    /// <summary>Key of the cover used; empty when none.</summary>
    internal string Material { get; init; } = string.Empty;

    /// <summary>How the sentence names the means: "with foil sleeve"; empty when the action says it all.</summary>
    internal string With { get; init; } = string.Empty;

    /// <summary>Minutes for one union. [min]</summary>
    internal required double Minutes { get; init; }

    /// <summary>What to bring.</summary>
    internal required IReadOnlyList<string> Bring { get; init; }

    /// <summary>The union afterwards.</summary>
    internal required UnionCase After { get; init; }

    /// <summary>What tells apart remedies of one action: the means, and the second step.</summary>
    internal string Kind => Material + With + Also?.Action + Also?.Material;

    /// <summary>A second piece of work that goes with it; null when one is enough.</summary>
    internal Remedy? Also { get; init; }
}

/// <summary>What computing the remedies showed.</summary>
/// <param name="Remedy">The work; null when nothing known helps.</param>
/// <param name="PeakAfter">Worst value afterwards.</param>
/// <param name="LevelAfter">Level afterwards.</param>
/// <param name="LevelsAfter">The levels the union is held against afterwards.</param>
/// <param name="Refused">Remedies that would do harm, for the record.</param>
internal sealed record RemedyChoice(Remedy? Remedy, double PeakAfter, Level LevelAfter, Levels LevelsAfter, IReadOnlyList<RefusedRemedy> Refused)
{
    /// <summary>Whether the hazard is under its act level afterwards.</summary>
    internal bool Clears => Remedy is not null && LevelAfter < Level.Act;
}

/// <summary>A remedy that would do harm.</summary>
/// <param name="Remedy">Which.</param>
/// <param name="Because">The hazard it makes worse.</param>
internal sealed record RefusedRemedy(Remedy Remedy, Hazard Because);
