using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;

namespace GraftWatch.Letters.Outline;

/// <summary>Says what to begin with when there is more urgent work than one pair of hands can do in time.</summary>
internal static class UrgentOrder
{
    /// <summary>Degrees that count as much as a quantity at twice its level. [K], engineering choice.</summary>
    private const double KelvinOfOne = 8;

    /// <summary>One sentence; null when the urgent work can be done in time, or no hour is set.</summary>
    /// <param name="round">The round.</param>
    /// <param name="inOrder">Its advice in the letter's order.</param>
    public static string? Of(Round round, IReadOnlyList<Advice> inOrder)
    {
        Advice[] urgent = [.. inOrder.Where(advice => advice is { Level: Level.Urgent, DoBy: not null } && double.IsFinite(advice.Minutes) && advice.Minutes > 0)];
        double minutes = 0;
        bool late = false;
        foreach (Advice advice in urgent.OrderBy(advice => advice.DoBy))
        {
            minutes += advice.Minutes;
            late |= minutes > Math.Max(0, (advice.DoBy!.Value - round.Now).TotalMinutes);
        }

        if (!late || urgent.Length < 2)
        {
            return null;
        }

        Advice first = urgent.OrderByDescending(Margin).First();
        int number = inOrder.TakeWhile(advice => advice != first).Count() + 1;
        return string.Create(CultureInfo.InvariantCulture, $"The urgent work takes longer than there is time for one person: begin with {number}, which is furthest past its level, and get help for the rest.");
    }

    // How far past its level the worst number is; different quantities are compared roughly.
    private static double Margin(Advice advice) => advice.Reasons
        .Select(reason => Math.Abs(reason.Without - reason.Threshold) / (reason.Unit == "°C" ? KelvinOfOne : Math.Max(Math.Abs(reason.Threshold), 0.1)))
        .Where(double.IsFinite)
        .DefaultIfEmpty(0)
        .Max();
}
