using NodaTime;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>How politely a host is asked.</summary>
public sealed record CourtesyPolicy
{
    /// <summary>Requests under way at once.</summary>
    public int MostInFlight { get; init; } = 1;

    /// <summary>Weight of requests in one UTC minute. [calls]</summary>
    public double PerMinute { get; init; } = 60;

    /// <summary>Weight of requests in one UTC hour. [calls]</summary>
    public double PerHour { get; init; } = 1_000;

    /// <summary>Weight of requests in one UTC day. [calls]</summary>
    public double PerDay { get; init; } = 5_000;

    /// <summary>Longest a call waits for the next minute's share before it gives up; the next hour is never waited for.</summary>
    public Duration LongestWait { get; init; } = Duration.FromSeconds(75);

    /// <summary>A server's wish to be left alone counts up to this long.</summary>
    public Duration LongestRetryAfter { get; init; } = Duration.FromHours(24);

    /// <summary>Nine tenths of what the free host of the open forecast API allows (600 a minute, 5,000 an hour, 10,000 a day, one at a time).</summary>
    public static CourtesyPolicy FreeHost { get; } = new() { PerMinute = 540, PerHour = 4_500, PerDay = 9_000 };

    /// <summary>A host with a key or a server of one's own: no budget, four requests at once.</summary>
    public static CourtesyPolicy OwnHost { get; } = new()
    {
        MostInFlight = 4,
        PerMinute = double.PositiveInfinity,
        PerHour = double.PositiveInfinity,
        PerDay = double.PositiveInfinity,
    };
}
