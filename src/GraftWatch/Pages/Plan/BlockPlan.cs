using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Explaining;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Solar;
using GraftWatch.Pages.Grafts;
using GraftWatch.Pages.Today;
using NodaTime;

namespace GraftWatch.Pages.Plan;

/// <summary>A block seen from above, rows and trees in the order of the register. Where they truly stand is not known.</summary>
/// <param name="Place">Name of the place.</param>
/// <param name="Block">Name of the block; empty for grafts without one.</param>
/// <param name="Trees">Trees in walking order.</param>
/// <param name="Sun">Where the sun stands at the block's worst hour; null when no such hour is known.</param>
internal sealed record BlockPlan(string Place, string Block, IReadOnlyList<PlanTree> Trees, WorstSun? Sun)
{
    /// <summary>Blocks of a register, in walking order.</summary>
    internal static IReadOnlyList<(string Place, string Block)> BlocksOf(IReadOnlyList<Graft> grafts) => [.. grafts.Select(graft => (graft.Place, graft.Block)).Distinct()];

    /// <summary>The plan of one block.</summary>
    /// <param name="grafts">The register in walking order.</param>
    /// <param name="place">Which place.</param>
    /// <param name="block">Which block.</param>
    /// <param name="day">The grower's day; null when it could not be computed.</param>
    internal static BlockPlan Of(IReadOnlyList<Graft> grafts, string place, string block, GrowerDay? day)
    {
        Graft[] inside = [.. grafts.Where(graft => graft.Place == place && graft.Block == block)];
        PlanTree[] trees =
        [
            .. inside.GroupBy(graft => (graft.Row, Tree: graft.Tree.Length > 0 ? graft.Tree : "\n" + graft.Label))
                .Select(tree => new PlanTree(tree.Key.Row, tree.First().Tree, [.. tree.Select(graft => UnionOf(graft, day))])),
        ];
        return new BlockPlan(place, block, trees, day?.WorstSunOf(place, block, () => WorstSun.Of(day, place, inside)));
    }

    private static PlanUnion UnionOf(Graft graft, GrowerDay? day) =>
        new(graft.Label, graft.AspectDeg, graft.Count, day is not null && day.AdviceOf(graft.Label).Any(GraftFilter.IsDue));
}

/// <summary>One tree of a plan.</summary>
/// <param name="Row">Its row; empty when the register names none.</param>
/// <param name="Tree">Its name; empty when the register names none.</param>
/// <param name="Unions">Its unions.</param>
internal sealed record PlanTree(string Row, string Tree, IReadOnlyList<PlanUnion> Unions);

/// <summary>One union of a plan.</summary>
/// <param name="Label">Label of its graft.</param>
/// <param name="AspectDeg">Direction it faces. [°] clockwise from north.</param>
/// <param name="Count">Like unions it stands for.</param>
/// <param name="HasWork">Whether work is due at it.</param>
internal sealed record PlanUnion(string Label, double AspectDeg, int Count, bool HasWork);

/// <summary>The hour in which heat or sun presses a block most, and where the sun stands then.</summary>
/// <param name="At">Middle of the hour.</param>
/// <param name="AzimuthDeg">Direction of the sun. [°] clockwise from north.</param>
/// <param name="AltitudeDeg">Height of the sun. [°]</param>
/// <param name="Graft">The graft it presses most.</param>
internal sealed record WorstSun(Instant At, double AzimuthDeg, double AltitudeDeg, string Graft)
{
    private const int MostSides = 4;
    private static readonly Duration HalfAnHour = Duration.FromMinutes(30);
    private static readonly Duration Ahead = Duration.FromDays(3);

    /// <summary>Finds it: the hour of the highest heat or sun advised against in the block, else the warmest hour ahead at its unions; null when that is at night.</summary>
    internal static WorstSun? Of(GrowerDay day, string place, IReadOnlyList<Graft> inside)
    {
        if (day.Round.Places.FirstOrDefault(candidate => candidate.Place.Name == place)?.Place is not { } ground)
        {
            return null;
        }

        if ((Advised(day, inside) ?? Warmest(day, inside)) is not { } found)
        {
            return null;
        }

        Instant middle = found.At - HalfAnHour;
        var sun = SunPosition.At(middle, ground.Site.LatitudeDeg, ground.Site.LongitudeDeg);
        return sun.AltitudeDeg > 0 ? new WorstSun(middle, sun.AzimuthDeg, sun.AltitudeDeg, found.Graft) : null;
    }

    private static (Instant At, string Graft)? Advised(GrowerDay day, IReadOnlyList<Graft> inside)
    {
        var labels = inside.Select(graft => graft.Label).ToHashSet(StringComparer.Ordinal);
        return day.Round.Advice
            .Where(advice => advice.Hazard is Hazard.Heat or Hazard.Sun && advice.Reasons.Count > 0 && advice.Grafts.Any(labels.Contains))
            .OrderByDescending(advice => advice.Reached ?? advice.Level)
            .ThenByDescending(advice => advice.Reasons[0].Without)
            .Select(advice => ((Instant, string)?)(advice.Reasons[0].At, advice.Grafts.First(labels.Contains)))
            .FirstOrDefault();
    }

    // Like unions feel alike: the sides the block has most unions on stand for all.
    private static (Instant At, string Graft)? Warmest(GrowerDay day, IReadOnlyList<Graft> inside)
    {
        (Instant At, string Graft)? worst = null;
        double worstC = double.NegativeInfinity;
        foreach (Graft graft in inside.GroupBy(graft => Math.Round(graft.AspectDeg / 22.5)).OrderByDescending(side => side.Count()).Take(MostSides).Select(side => side.First()))
        {
            RoundRequest alone = day.Request with { Grafts = [graft], Observations = [.. day.Request.Observations.Where(seen => seen.Label == graft.Label)] };
            if (GraftHours.Of(alone, graft.Label, out _) is not { } hours)
            {
                continue;
            }

            for (int hour = 0; hour < hours.Hours; hour++)
            {
                Instant end = hours.EndOf(hour);
                if (end > day.Round.Now && end <= day.Round.Now + Ahead && hours.Union.CambiumC[hour] > worstC)
                {
                    worstC = hours.Union.CambiumC[hour];
                    worst = (end, graft.Label);
                }
            }
        }

        return worst;
    }
}
