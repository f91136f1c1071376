using GraftWatch.Microclimate.Weather;
using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Weather;

/// <summary>Weather by place, source and UTC day.</summary>
internal sealed class WeatherRecords(SqlEngine engine) : IWeatherLog
{
    public Task KeepAsync(string place, string source, HourlyWeather weather, Instant at, CancellationToken cancellationToken)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(place);
        ArgumentException.ThrowIfNullOrWhiteSpace(source);
        ArgumentNullException.ThrowIfNull(weather);
        return engine.WriteAsync(session => KeepAsync(session, place, source, weather, at), cancellationToken);
    }

    public Task<HourlyWeather?> LoadAsync(string place, string source, Instant firstHourEnd, Instant lastHourEnd, CancellationToken cancellationToken)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(lastHourEnd, firstHourEnd);
        return engine.ReadAsync(
            async session =>
            {
                Dictionary<LocalDate, DayColumns> days = await DaysAsync(session, place, source, DayOf(firstHourEnd), DayOf(lastHourEnd)).ConfigureAwait(false);
                return days.Count == 0 ? null : Build(days, firstHourEnd, lastHourEnd);
            },
            cancellationToken);
    }

    /// <summary>The UTC day an hour belongs to: the hour that ends at midnight is the last of the day before.</summary>
    internal static LocalDate DayOf(Instant hourEnd) => (hourEnd - Duration.FromHours(1)).InUtc().Date;

    internal static int HourOf(Instant hourEnd) => (hourEnd - Duration.FromHours(1)).InUtc().Hour;

    internal static async Task SaveAsync(SqlSession session, string place, string source, LocalDate day, DayColumns columns, long savedAt) =>
        await session.ExecuteAsync(
            """
            INSERT INTO weather_day (place, source, day, columns, saved_at) VALUES (@place, @source, @day, @columns, @at)
            ON CONFLICT (place, source, day) DO UPDATE SET columns = excluded.columns, saved_at = excluded.saved_at
            """,
            ("@place", place),
            ("@source", source),
            ("@day", Stored.Date(day)),
            ("@columns", columns.Encode()),
            ("@at", savedAt)).ConfigureAwait(false);

    private async Task KeepAsync(SqlSession session, string place, string source, HourlyWeather weather, Instant at)
    {
        // Two machines that fetched the same place at once must not merge into the same old picture.
        await engine.LockAsync(session, "weather of " + place).ConfigureAwait(false);
        Dictionary<LocalDate, DayColumns> days = await DaysAsync(session, place, source, DayOf(weather.FirstHourEnd), DayOf(weather.LastHourEnd)).ConfigureAwait(false);
        var changed = new HashSet<LocalDate>();
        WeatherQuantity[] quantities = [.. Enum.GetValues<WeatherQuantity>().Where(weather.Has)];
        for (int i = 0; i < weather.Hours; i++)
        {
            Instant end = weather.EndOf(i);
            LocalDate day = DayOf(end);
            foreach (WeatherQuantity quantity in quantities)
            {
                double value = weather[quantity][i];
                WeatherOrigin origin = weather.OriginOf(quantity, i);
                if (origin == WeatherOrigin.Missing)
                {
                    continue;
                }

                if (!days.TryGetValue(day, out DayColumns? columns))
                {
                    days.Add(day, columns = new DayColumns());
                }

                if (columns.Offer(quantity, HourOf(end), value, origin))
                {
                    changed.Add(day);
                }
            }
        }

        foreach (LocalDate day in changed.Order())
        {
            await SaveAsync(session, place, source, day, days[day], Stored.Ticks(at)).ConfigureAwait(false);
        }
    }

    internal static async Task<Dictionary<LocalDate, DayColumns>> DaysAsync(SqlSession session, string place, string source, LocalDate from, LocalDate to)
    {
        List<(LocalDate Day, byte[] Columns)> rows = await session.ListAsync(
            reader => (reader.Date(0), reader.Bytes(1)),
            "SELECT day, columns FROM weather_day WHERE place = @place AND source = @source AND day BETWEEN @from AND @to ORDER BY day",
            ("@place", place),
            ("@source", source),
            ("@from", Stored.Date(from)),
            ("@to", Stored.Date(to))).ConfigureAwait(false);
        var days = new Dictionary<LocalDate, DayColumns>();
        foreach ((LocalDate day, byte[] columns) in rows)
        {
            // A damaged day reads as a gap and is written anew by the next run.
            if (DayColumns.TryDecode(columns) is { } read)
            {
                days.Add(day, read);
            }
        }

        return days;
    }

    internal static HourlyWeather Build(Dictionary<LocalDate, DayColumns> days, Instant firstHourEnd, Instant lastHourEnd)
    {
        int hours = 1 + (int)Math.Floor((lastHourEnd - firstHourEnd).TotalHours);
        var builder = new HourlyWeather.Builder(firstHourEnd, hours);
        for (int i = 0; i < hours; i++)
        {
            Instant end = firstHourEnd + Duration.FromHours(i);
            if (!days.TryGetValue(DayOf(end), out DayColumns? columns))
            {
                continue;
            }

            int hour = HourOf(end);
            foreach (WeatherQuantity quantity in columns.Known)
            {
                (double value, WeatherOrigin origin) = columns[quantity, hour];
                builder.Set(quantity, i, value, origin);
            }
        }

        return builder.Build();
    }
}
