using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Explaining;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Explaining;

/// <summary>A graft hour by hour, and which of the hours are asked for.</summary>
/// <param name="Hours">The hours.</param>
/// <param name="Request">The round they belong to.</param>
/// <param name="First">First hour shown.</param>
/// <param name="Last">Last hour shown.</param>
internal sealed record ExplainedGraft(GraftHours Hours, RoundRequest Request, int First, int Last)
{
    /// <summary>Everything that nobody said and was taken for granted.</summary>
    internal IReadOnlyList<string> Assumed { get; } =
    [
        .. Hours.Place.Assumed.Select(sentence => $"{Hours.Place.Name}: {sentence}"),
        .. Hours.Graft.Assumed.Select(sentence => $"{Hours.Graft.Label}: {sentence}"),
        .. Hours is { IsShootEstimated: true, ShootM: > 0 } ? new[] { FormattableString.Invariant($"shoot: {100 * Hours.ShootM:0} cm, an estimate of the healing clock, in every hour") } : [],
    ];

    /// <summary>How many of the shown hours of a column came from where, most first.</summary>
    internal IReadOnlyList<(WeatherOrigin Origin, int Hours)> OriginsOf(ExplainColumn column) =>
    [
        .. Enumerable.Range(First, Last - First + 1)
            .GroupBy(hour => column.Origin?.Invoke(Hours, hour) ?? WeatherOrigin.Derived)
            .Select(group => (group.Key, group.Count()))
            .OrderByDescending(pair => pair.Item2),
    ];

    /// <summary>Limits the hours to local days.</summary>
    internal ExplainedGraft Between(LocalDate? from, LocalDate? to)
    {
        DateTimeZone zone = Hours.Place.Zone;
        int first = from is { } start ? Math.Max(First, Hours.Weather.IndexOf(zone.AtStartOfDay(start).ToInstant() + Duration.FromHours(1))) : First;
        int last = to is { } end ? Math.Min(Last, Hours.Weather.IndexOf(zone.AtStartOfDay(end.PlusDays(1)).ToInstant())) : Last;
        return this with { First = first, Last = last };
    }
}
