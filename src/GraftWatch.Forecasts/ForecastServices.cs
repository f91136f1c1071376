using System.Net;
using GraftWatch.Forecasts.Fetching;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.DependencyInjection.Extensions;
using Refit;

namespace GraftWatch.Forecasts;

/// <summary>Puts weather sources into a service collection.</summary>
public static class ForecastServices
{
    private const string ForecastClient = "open forecast";

    /// <summary>Adds the open forecast API as <see cref="IWeatherSource"/> and <see cref="IBatchWeatherSource"/>.</summary>
    /// <remarks>Register an <see cref="IRequestTallies"/> that outlasts the process before; without one, tallies start afresh with it.</remarks>
    public static IServiceCollection AddOpenForecast(this IServiceCollection services, OpenForecastOptions options)
    {
        services.TryAddSingleton(TimeProvider.System);
        services.TryAddSingleton<IRequestTallies, InMemoryRequestTallies>();
        services.AddHttpClient(ForecastClient).Polite(options.BaseUrl, options.UserAgent);
        services.AddSingleton(provider => new OpenForecastSource(
            RestService.ForGenerated<IOpenForecastApi>(provider.GetRequiredService<IHttpClientFactory>().CreateClient(ForecastClient)),
            new HostLine(options.BaseUrl.Host, options.Line, options.CourtesyInForce, provider.GetRequiredService<IRequestTallies>(), provider.GetRequiredService<TimeProvider>()),
            options));
        services.AddSingleton<IBatchWeatherSource>(provider => provider.GetRequiredService<OpenForecastSource>());
        services.AddSingleton<IWeatherSource>(provider => provider.GetRequiredService<OpenForecastSource>());
        return services;
    }

    /// <summary>Sets what every client shares: no deadline of its own (the line has them), compression, fresh addresses, redirects only inside the host.</summary>
    internal static IHttpClientBuilder Polite(this IHttpClientBuilder client, Uri baseUrl, string userAgent) =>
        client
            .ConfigureHttpClient(http =>
            {
                http.BaseAddress = baseUrl;
                http.Timeout = Timeout.InfiniteTimeSpan;
                http.DefaultRequestHeaders.TryAddWithoutValidation("User-Agent", userAgent);
            })
            .ConfigurePrimaryHttpMessageHandler(() => new SocketsHttpHandler
            {
                AllowAutoRedirect = false,
                AutomaticDecompression = DecompressionMethods.All,
                ConnectTimeout = TimeSpan.FromSeconds(10),
                PooledConnectionLifetime = TimeSpan.FromMinutes(10),
                UseCookies = false,
            })
            .AddHttpMessageHandler(() => new SameHostRedirects())
            .SetHandlerLifetime(Timeout.InfiniteTimeSpan);
}
