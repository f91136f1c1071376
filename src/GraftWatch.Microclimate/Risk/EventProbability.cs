namespace GraftWatch.Microclimate.Risk;

/// <summary>Probability from a count of ensemble members.</summary>
public static class EventProbability
{
    /// <summary>Probability of an event that k of n members see.</summary>
    /// <param name="crossing">Members with the event, k. [-], 0 to <paramref name="members"/>.</param>
    /// <param name="members">Members, n. [-], 0 or more.</param>
    /// <returns>Probability. [-], above 0 and below 1: no ensemble rules anything out; NaN without members.</returns>
    /// <remarks><c>(k + 2/3) / (n + 4/3)</c>, Tukey's plotting position of the truth as one more member [Wilks2011] sec. 8.2, from memory.</remarks>
    /// <exception cref="ArgumentOutOfRangeException">A count is negative or larger than the members.</exception>
    public static double OfCount(int crossing, int members)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(members);
        ArgumentOutOfRangeException.ThrowIfNegative(crossing);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(crossing, members);
        return members == 0 ? double.NaN : (crossing + (2.0 / 3)) / (members + (4.0 / 3));
    }
}
