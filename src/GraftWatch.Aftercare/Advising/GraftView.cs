using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Healing;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>One graft with all that is known and computed of it.</summary>
internal sealed class GraftView
{
    /// <summary>The register's record.</summary>
    internal required Graft Graft { get; init; }

    /// <summary>Position in the register: the walking order.</summary>
    internal required int Order { get; init; }

    /// <summary>The record with everything seen and done.</summary>
    internal required GraftState State { get; init; }

    /// <summary>The place and its hours.</summary>
    internal required PlaceClimate Climate { get; init; }

    /// <summary>Its species.</summary>
    internal required SpeciesTraits Species { get; init; }

    /// <summary>What its stages take.</summary>
    internal required HealingPlan Plan { get; init; }

    /// <summary>How fast unions like it heal.</summary>
    internal required HealingPath Path { get; init; }

    /// <summary>Where it stands.</summary>
    internal required HealingClock Clock { get; init; }

    /// <summary>When it was made.</summary>
    internal required Instant MadeAt { get; init; }

    /// <summary>How the weather meets it.</summary>
    internal required UnionCase Case { get; init; }

    /// <summary>Months of the place.</summary>
    internal required GrowthYear Year { get; init; }

    /// <summary>Season year in which it first grows.</summary>
    internal required int FirstGrowth { get; init; }

    /// <summary>Whether the shoot's length is an estimate of the clock.</summary>
    internal required bool ShootEstimated { get; init; }

    /// <summary>Longest shoot. [m]</summary>
    internal double ShootM => Case.ShootM;

    /// <summary>Stage now.</summary>
    internal Stage Stage => Clock.Stage;

    /// <summary>What a threshold is looked up for.</summary>
    internal Subject Subject => Case.Subject;
}
