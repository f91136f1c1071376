using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Scenes;

/// <summary>Invented hours with the plain shape of real ones: a daily wave of temperature, a clear-sky sun, steady moisture.</summary>
internal sealed class SceneWeather
{
    private readonly SortedDictionary<int, SceneDay> days = [];
    private readonly LocalDate from;
    private readonly int count;
    private readonly HashSet<WeatherQuantity> without = [];
    private SceneDay usual = new();

    private SceneWeather(Place place, LocalDate from, int count)
    {
        Place = place;
        this.from = from;
        this.count = count;
    }

    internal Place Place { get; }

    internal static SceneWeather At(Place place, LocalDate from, int days) => new(place, from, days);

    /// <summary>The day that every day is like.</summary>
    internal SceneWeather Usually(SceneDay day)
    {
        usual = day;
        return this;
    }

    /// <summary>One day that differs.</summary>
    internal SceneWeather On(LocalDate date, SceneDay day)
    {
        days[Period.DaysBetween(from, date)] = day;
        return this;
    }

    /// <summary>A quantity the source does not give.</summary>
    internal SceneWeather Without(WeatherQuantity quantity)
    {
        without.Add(quantity);
        return this;
    }

    internal SceneDay Day(int index) => days.GetValueOrDefault(index, usual);

    internal HourlyWeather Build()
    {
        Instant first = Place.Zone.AtStartOfDay(from).ToInstant();
        long seconds = first.ToUnixTimeSeconds();
        first = Instant.FromUnixTimeSeconds(seconds - (seconds % 3600)) + Duration.FromHours(1);
        int hours = count * 24;
        var builder = new HourlyWeather.Builder(first, hours);
        for (int i = 0; i < hours; i++)
        {
            Instant at = first + Duration.FromHours(i);
            LocalDateTime local = at.InZone(Place.Zone).LocalDateTime;
            int index = Math.Clamp(Period.DaysBetween(from, local.Date), 0, count - 1);
            Set(builder, i, Day(index), local, (at - Duration.FromMinutes(30)).InZone(Place.Zone));
        }

        return builder.Build();
    }

    private void Set(HourlyWeather.Builder builder, int hour, SceneDay day, LocalDateTime local, ZonedDateTime middle)
    {
        double clock = local.TimeOfDay.TickOfDay / (double)NodaConstants.TicksPerHour;
        // Coldest at 5, warmest at 15.
        double wave = clock is >= 5 and <= 15 ? -Math.Cos(Math.PI * (clock - 5) / 10) : Math.Cos(Math.PI * (((clock + 24 - 15) % 24) / 14));
        double air = (0.5 * (day.HighC + day.LowC)) + (0.5 * (day.HighC - day.LowC) * wave);
        double sunClock = middle.TimeOfDay.TickOfDay / (double)NodaConstants.TicksPerHour;
        double dayLength = 12 + (Place.Site.LatitudeDeg >= 0 ? 3.2 : -3.2) * Math.Sin(2 * Math.PI * (middle.DayOfYear - 81) / 365.0);
        double sun = Math.Sin(Math.PI * ((sunClock - 13.3) + (dayLength / 2)) / dayLength);
        double daylight = Math.Abs(sunClock - 13.3) < dayLength / 2 ? Math.Max(0, sun) : 0;
        double global = day.NoonSunWPerM2 * daylight * (1 - (0.75 * day.CloudFrac));
        bool gusty = day.GustFrom <= clock && clock <= day.GustTo;
        Put(builder, WeatherQuantity.AirC, hour, air);
        Put(builder, WeatherQuantity.DewPointC, hour, Math.Min(day.DewPointC, air));
        Put(builder, WeatherQuantity.WindMPerS, hour, day.WindMPerS);
        Put(builder, WeatherQuantity.GustMPerS, hour, gusty ? day.GustMPerS : 1.6 * day.WindMPerS);
        Put(builder, WeatherQuantity.GlobalWPerM2, hour, global);
        Put(builder, WeatherQuantity.CloudFrac, hour, day.CloudFrac);
        Put(builder, WeatherQuantity.PrecipitationMm, hour, clock is >= 1 and <= 4 ? day.RainMm / 4 : 0);
        Put(builder, WeatherQuantity.HumidityPct, hour, Math.Min(100, 100 * Saturation(Math.Min(day.DewPointC, air)) / Saturation(air)));
    }

    private void Put(HourlyWeather.Builder builder, WeatherQuantity quantity, int hour, double value)
    {
        if (!without.Contains(quantity))
        {
            builder.Set(quantity, hour, value, WeatherOrigin.Forecast);
        }
    }

    private static double Saturation(double airC) => 0.6108 * Math.Exp(17.27 * airC / (airC + 237.3));
}

/// <summary>One invented day.</summary>
internal sealed record SceneDay
{
    internal double LowC { get; init; } = 9;

    internal double HighC { get; init; } = 18;

    internal double DewPointC { get; init; } = 8;

    internal double WindMPerS { get; init; } = 2;

    internal double GustMPerS { get; init; } = 4;

    internal double GustFrom { get; init; } = 12;

    internal double GustTo { get; init; } = 16;

    internal double NoonSunWPerM2 { get; init; } = 850;

    internal double CloudFrac { get; init; } = 0.3;

    internal double RainMm { get; init; }
}
