using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>The first day that may have a letter after a store was put back.</summary>
internal static class FirstDay
{
    /// <summary>Tomorrow, in the zone that is furthest ahead: today's letter may have gone out after the copy was made.</summary>
    internal static LocalDate After(IReadOnlyList<Grower> growers, Instant now) =>
        growers.Select(grower => now.InZone(grower.Zone).Date).DefaultIfEmpty(now.InUtc().Date).Max().PlusDays(1);
}
