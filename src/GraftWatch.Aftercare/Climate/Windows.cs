namespace GraftWatch.Aftercare.Climate;

/// <summary>A run of hours that belong together, both ends included.</summary>
/// <param name="From">First hour.</param>
/// <param name="To">Last hour.</param>
internal readonly record struct HourRun(int From, int To)
{
    /// <summary>Number of hours.</summary>
    internal int Length => To - From + 1;
}

/// <summary>Cuts hours into days or nights.</summary>
internal static class Windows
{
    /// <summary>Runs of equal keys from an hour on.</summary>
    /// <param name="keys">Day or night number of each hour.</param>
    /// <param name="from">First hour looked at.</param>
    internal static IEnumerable<HourRun> Of(int[] keys, int from)
    {
        int start = Math.Max(from, 0);
        for (int i = start; i < keys.Length; i++)
        {
            if (i + 1 == keys.Length || keys[i + 1] != keys[i])
            {
                yield return new HourRun(start, i);
                start = i + 1;
            }
        }
    }
}
