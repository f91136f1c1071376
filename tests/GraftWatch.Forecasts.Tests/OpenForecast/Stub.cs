using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Fetching;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.OpenForecast;

/// <summary>A source wired as the application wires it, with short delays; deadlines are long enough for a busy machine.</summary>
internal static class Stub
{
    public static readonly Instant Now = Instant.FromUtc(2026, 4, 22, 4, 10);

    public static readonly Place Slope = Place("Slope", 47.66, 9.18, 404);

    public static Place Place(string name, double latitudeDeg, double longitudeDeg, double elevationM) =>
        new(name, new Site { LatitudeDeg = latitudeDeg, LongitudeDeg = longitudeDeg, ElevationM = elevationM }, DateTimeZone.Utc);

    public static OpenForecastOptions Options(Uri url) => new()
    {
        BaseUrl = url,
        AttemptTimeout = Duration.FromSeconds(8),
        TotalTimeout = Duration.FromSeconds(30),
        FirstDelay = Duration.FromMilliseconds(20),
    };

    public static ServiceProvider Provider(OpenForecastOptions options, TimeProvider? time = null, IRequestTallies? tallies = null)
    {
        var services = new ServiceCollection();
        services.AddSingleton(time ?? TimeProvider.System);
        services.AddSingleton(tallies ?? new InMemoryRequestTallies());
        services.AddOpenForecast(options);
        return services.BuildServiceProvider();
    }
}
