using GraftWatch.Forecasts;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>Makes weather sources of what graftwatch.toml says.</summary>
internal static class InstalledWeather
{
    internal const string KeyVariable = "GRAFTWATCH_WEATHER_KEY";

    /// <summary>The choice of sources as the settings have it.</summary>
    internal static WeatherSetup Setup(WeatherSettings weather, Func<string, string?> environment) => new()
    {
        Address = weather.Address,
        Key = environment(KeyVariable) is { Length: > 0 } key ? key : null,
        Contact = weather.Contact,
        Version = typeof(InstalledWeather).Assembly.GetName().Version is { } version ? version.ToString(2) : "0",
        Order = weather.Sources,
        OrderOfPlace = weather.SourcesOfPlace,
        CompareWith = weather.Compare,
        WithEnsemble = weather.Ensemble,
        Stations = weather.StationOfPlace,
    };

    /// <summary>Lets budgets, kept replies and hours outlast the process; call before sources are added.</summary>
    internal static IServiceCollection AddKeptWeather(this IServiceCollection services, RecordsStore store)
    {
        services.AddSingleton(store.Tallies);
        services.AddSingleton(store.Replies);
        return services.AddSingleton(store.History);
    }
}

/// <summary>Hours are needed from one instant on.</summary>
internal sealed class NeedsSince(Instant earliest) : IWeatherNeeds
{
    /// <inheritdoc/>
    public Task<Instant?> EarliestAsync(string place, CancellationToken cancellationToken) => Task.FromResult<Instant?>(earliest);
}
