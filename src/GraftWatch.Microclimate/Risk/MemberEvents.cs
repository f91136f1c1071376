namespace GraftWatch.Microclimate.Risk;

/// <summary>How many members of an ensemble see an event somewhere on their way through the hours.</summary>
/// <param name="Crossing">Members with the event. [-]</param>
/// <param name="Known">Members that can tell: with the event, or without it and without a gap. [-]</param>
/// <param name="Unknown">Members without the event whose gaps could hide it. [-]</param>
public readonly record struct MemberEvents(int Crossing, int Known, int Unknown)
{
    /// <summary>Probability of the event, see <see cref="EventProbability.OfCount"/>. [-]; NaN without a member that can tell.</summary>
    public double ProbabilityFrac => EventProbability.OfCount(Crossing, Known);

    /// <summary>Counts the members whose path stays past a threshold for a number of hours on end, anywhere.</summary>
    /// <param name="paths">All members' hours, member after member, in any unit; length members × hours.</param>
    /// <param name="members">Number of members. [-], 0 or more.</param>
    /// <param name="threshold">Threshold, in the unit of <paramref name="paths"/>.</param>
    /// <param name="side">Which side of the threshold is the event.</param>
    /// <param name="hoursOnEnd">How many hours in a row make the event. [-], at least 1.</param>
    /// <returns>The count; a NaN hour breaks a run and, where no run was found, makes the member unknown.</returns>
    /// <remarks>
    /// Whole paths are counted because hours of one forecast are not independent: multiplying hourly probabilities would overstate
    /// the risk of any hour and understate that of many [Wilks2011].
    /// </remarks>
    /// <exception cref="ArgumentException">The length is no multiple of the members, the threshold is NaN, or fewer than one hour is asked for.</exception>
    public static MemberEvents Count(ReadOnlySpan<double> paths, int members, double threshold, EventSide side, int hoursOnEnd = 1)
    {
        bool fits = members > 0 ? paths.Length % members == 0 : members == 0 && paths.Length == 0;
        if (!fits || double.IsNaN(threshold) || hoursOnEnd < 1)
        {
            throw new ArgumentException($"{paths.Length} hours for {members} members, threshold {threshold}, {hoursOnEnd} hours on end.", nameof(paths));
        }

        int hours = members > 0 ? paths.Length / members : 0;
        int crossing = 0;
        int unknown = 0;
        for (int m = 0; m < members; m++)
        {
            ReadOnlySpan<double> path = paths.Slice(m * hours, hours);
            if (HasRun(path, threshold, side, hoursOnEnd))
            {
                crossing++;
            }
            else if (HasGap(path))
            {
                unknown++;
            }
        }

        return new MemberEvents(crossing, members - unknown, unknown);
    }

    private static bool HasRun(ReadOnlySpan<double> path, double threshold, EventSide side, int hoursOnEnd)
    {
        int run = 0;
        foreach (double value in path)
        {
            bool past = side == EventSide.AtOrAbove ? value >= threshold : value <= threshold;
            run = past ? run + 1 : 0;
            if (run >= hoursOnEnd)
            {
                return true;
            }
        }

        return false;
    }

    private static bool HasGap(ReadOnlySpan<double> path)
    {
        foreach (double value in path)
        {
            if (double.IsNaN(value))
            {
                return true;
            }
        }

        return false;
    }
}
