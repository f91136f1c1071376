namespace GraftWatch.Microclimate.Response;

/// <summary>Refuses spans of unequal length, a caller's bug.</summary>
internal static class SpanLengths
{
    /// <summary>Throws unless <paramref name="actual"/> equals <paramref name="expected"/>.</summary>
    /// <param name="expected">Length of the first span. [-]</param>
    /// <param name="actual">Length of the other span. [-]</param>
    /// <param name="name">Name of the other span's parameter.</param>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    internal static void RequireEqual(int expected, int actual, string name)
    {
        if (expected != actual)
        {
            throw new ArgumentException($"Expected {expected} values, got {actual}.", name);
        }
    }
}
