using GraftWatch.Microclimate.Weather;
using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Weather;

/// <summary>The joined hours of each place as one series.</summary>
internal sealed class WeatherHistoryRecords(SqlEngine engine) : IWeatherHistory
{
    // Days of the joined series lie beside those of single sources, under a name no source can have.
    private const string Joined = "";

    public Task<KeptWeather?> LoadAsync(string place, Instant from, CancellationToken cancellationToken) => engine.ReadAsync(
        async session =>
        {
            Series? series = await FindAsync(session, place).ConfigureAwait(false);
            if (series is null)
            {
                return null;
            }

            Instant first = Instant.Max(series.FirstHourEnd, HourAtOrAfter(from));
            if (first > series.LastHourEnd)
            {
                return null;
            }

            Dictionary<LocalDate, DayColumns> days = await WeatherRecords.DaysAsync(session, place, Joined, WeatherRecords.DayOf(first), WeatherRecords.DayOf(series.LastHourEnd)).ConfigureAwait(false);
            return new KeptWeather(WeatherRecords.Build(days, first, series.LastHourEnd), series.Source, series.Credit, series.IssuedAt);
        },
        cancellationToken);

    public Task SaveAsync(string place, KeptWeather weather, CancellationToken cancellationToken)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(place);
        ArgumentNullException.ThrowIfNull(weather);
        return engine.WriteAsync(session => SaveAsync(session, place, weather), cancellationToken);
    }

    private static Instant HourAtOrAfter(Instant at)
    {
        long ticks = at.ToUnixTimeTicks();
        long whole = ticks - (ticks % NodaConstants.TicksPerHour);
        return Instant.FromUnixTimeTicks(whole < ticks ? whole + NodaConstants.TicksPerHour : whole);
    }

    private static Task<Series?> FindAsync(SqlSession session, string place) => session.FirstAsync(
        reader => new Series(reader.GetString(0), reader.GetString(1), reader.Instant(2), reader.Instant(3), reader.Instant(4)),
        session.Command("SELECT source, credit, issued_at, first_hour_end, last_hour_end FROM weather_series WHERE place = @place", ("@place", place)));

    private async Task SaveAsync(SqlSession session, string place, KeptWeather kept)
    {
        await engine.LockAsync(session, "weather of " + place).ConfigureAwait(false);
        HourlyWeather weather = kept.Weather;
        Series? before = await FindAsync(session, place).ConfigureAwait(false);
        bool continues = before is not null && before.FirstHourEnd < weather.FirstHourEnd;
        LocalDate firstDay = WeatherRecords.DayOf(weather.FirstHourEnd), lastDay = WeatherRecords.DayOf(weather.LastHourEnd);
        await session.ExecuteAsync(
            continues ? "DELETE FROM weather_day WHERE place = @place AND source = @source AND day > @last" : "DELETE FROM weather_day WHERE place = @place AND source = @source AND (day > @last OR day < @first)",
            ("@place", place),
            ("@source", Joined),
            ("@last", Stored.Date(lastDay)),
            ("@first", Stored.Date(firstDay))).ConfigureAwait(false);
        Dictionary<LocalDate, DayColumns> there = await WeatherRecords.DaysAsync(session, place, Joined, firstDay, lastDay).ConfigureAwait(false);
        foreach ((LocalDate day, DayColumns columns) in Days(weather, continues ? there.GetValueOrDefault(firstDay) : null))
        {
            byte[]? old = there.GetValueOrDefault(day)?.Encode();
            if (old is null || !columns.Encode().AsSpan().SequenceEqual(old))
            {
                await WeatherRecords.SaveAsync(session, place, Joined, day, columns, Stored.Ticks(kept.IssuedAt)).ConfigureAwait(false);
            }
        }

        await SaveSeriesAsync(session, place, new Series(kept.Source, kept.Credit, kept.IssuedAt, continues ? before!.FirstHourEnd : weather.FirstHourEnd, weather.LastHourEnd)).ConfigureAwait(false);
    }

    /// <summary>The hours by day; the first day keeps what <paramref name="begun"/> has before the first hour.</summary>
    private static IEnumerable<(LocalDate Day, DayColumns Columns)> Days(HourlyWeather weather, DayColumns? begun)
    {
        WeatherQuantity[] quantities = [.. Enum.GetValues<WeatherQuantity>().Where(weather.Has)];
        DayColumns columns = begun is null ? new DayColumns() : DayColumns.TryDecode(begun.Encode())!;
        columns.ForgetFrom(WeatherRecords.HourOf(weather.FirstHourEnd));
        for (int i = 0; i < weather.Hours; i++)
        {
            Instant end = weather.EndOf(i);
            int hour = WeatherRecords.HourOf(end);
            foreach (WeatherQuantity quantity in quantities)
            {
                columns.Put(quantity, hour, weather[quantity][i], weather.OriginOf(quantity, i));
            }

            if (hour == DayColumns.Hours - 1 || i == weather.Hours - 1)
            {
                yield return (WeatherRecords.DayOf(end), columns);
                columns = new DayColumns();
            }
        }
    }

    private static Task<int> SaveSeriesAsync(SqlSession session, string place, Series series) => session.ExecuteAsync(
        """
        INSERT INTO weather_series (place, source, credit, issued_at, first_hour_end, last_hour_end) VALUES (@place, @source, @credit, @issued, @first, @last)
        ON CONFLICT (place) DO UPDATE SET source = excluded.source, credit = excluded.credit, issued_at = excluded.issued_at,
            first_hour_end = excluded.first_hour_end, last_hour_end = excluded.last_hour_end
        """,
        ("@place", place),
        ("@source", series.Source),
        ("@credit", series.Credit),
        ("@issued", Stored.Ticks(series.IssuedAt)),
        ("@first", Stored.Ticks(series.FirstHourEnd)),
        ("@last", Stored.Ticks(series.LastHourEnd)));

    private sealed record Series(string Source, string Credit, Instant IssuedAt, Instant FirstHourEnd, Instant LastHourEnd);
}
