using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Fetching;
using GraftWatch.Forecasts.MetNorway;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Forecasts.UsWeatherService;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;

namespace GraftWatch.Forecasts.Tests;

/// <summary>The other services wired as the application wires them, with short delays.</summary>
internal static class Services
{
    public const string Contact = "graftwatch/0.1 grower@example.org";
    private static readonly Duration Soon = Duration.FromMilliseconds(20);

    public static ServiceProvider Provider(Action<IServiceCollection> add, IReplyStore? store = null, TimeProvider? time = null)
    {
        var services = new ServiceCollection();
        services.AddSingleton(time ?? TimeProvider.System);
        services.AddSingleton(store ?? new InMemoryReplyStore());
        add(services);
        return services.BuildServiceProvider();
    }

    public static MetNorwayOptions Met(string url) => new() { BaseUrl = new Uri(url), UserAgent = Contact, FirstDelay = Soon };

    public static UsWeatherOptions Us(string url) => new() { BaseUrl = new Uri(url), UserAgent = Contact, FirstDelay = Soon };

    public static OpenPastOptions Past(string url, bool archive) => new() { BaseUrl = new Uri(url), IsArchive = archive, FirstDelay = Soon };

    public static OpenEnsembleOptions Ensemble(string url) => new() { BaseUrl = new Uri(url), FirstDelay = Soon };

    public static async Task<PlaceWeather> FetchAsync(Action<IServiceCollection> add, Place place, Instant now, IReplyStore? store = null)
    {
        using ServiceProvider provider = Provider(add, store);
        return await provider.GetRequiredService<IWeatherSource>().FetchAsync(place, now, TestContext.Current.CancellationToken);
    }
}
