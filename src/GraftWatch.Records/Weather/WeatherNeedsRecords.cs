using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Records.Weather;

/// <summary>How far back hours are needed: to the day of the oldest graft of the register that may still be healing.</summary>
internal sealed class WeatherNeedsRecords(SqlEngine engine) : IWeatherNeeds
{
    // A union that is older than a year and a month stands or is lost; common practice, no source.
    private static readonly Duration Longest = Duration.FromDays(400);

    // The day of grafting begins earliest in the zone furthest east.
    private static readonly Duration FurthestEast = Duration.FromHours(14);

    public Task<Instant?> EarliestAsync(string place, CancellationToken cancellationToken) => engine.ReadAsync<Instant?>(
        async session =>
        {
            Instant now = Instant.FromUnixTimeTicks(await engine.LeaseClockAsync(session).ConfigureAwait(false));
            string? made = await session.TextAsync(
                """
                SELECT min(t.made) FROM graft t
                WHERE t.place = @place AND t.made >= @oldest AND NOT EXISTS (
                    SELECT 1 FROM observation o
                    WHERE o.grower_id = t.grower_id AND o.label = t.label AND o.kind = 'dead' AND o.undone_at IS NULL)
                """,
                ("@place", place),
                ("@oldest", Stored.Date((now - Longest).InUtc().Date))).ConfigureAwait(false);
            return made is null ? null : LocalDatePattern.Iso.Parse(made).Value.AtMidnight().InUtc().ToInstant() - FurthestEast;
        },
        cancellationToken);
}
