using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.CommandLine;
using GraftWatch.Explaining;
using GraftWatch.Forecasts;
using GraftWatch.Records.Register;
using GraftWatch.Rounds.Ports;
using GraftWatch.Settings;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>Prepares a described graft whose weather is fetched.</summary>
internal static class FetchedGraft
{
    internal static async Task<PreparedRound> PrepareAsync(Terminal terminal, DescribedGraft described, Place? place, string? config, CancellationToken cancellationToken)
    {
        if (place is null)
        {
            return PreparedRound.Refused(["A described graft needs --lat, --lon and --elevation to fetch weather, or --weather FILE."]);
        }

        Loaded<Handbook> handbook = SettingsLoader.LoadHandbook(config);
        if (!handbook.IsValid)
        {
            return PreparedRound.Refused([.. handbook.Faults.Select(fault => fault.ToString())]);
        }

        Instant now = terminal.Now();
        LocalDate today = now.InZone(place.Zone).Date;
        RegisterReading register = described.Read(handbook.Value, today);
        if (!register.IsValid)
        {
            return PreparedRound.Refused([.. register.Faults.Select(fault => fault.ToString())]);
        }

        var weather = new WeatherSettings { Address = Forecasts.OpenForecast.OpenForecastOptions.FreeHost };
        var services = new ServiceCollection();
        services.AddLogging();
        services.AddSingleton(TimeProvider.System); // deadlines and pauses of the network are real seconds
        services.AddSingleton<IWeatherNeeds>(new NeedsSince(place.Zone.AtStartOfDay(register.Grafts.Min(graft => graft.Made)).ToInstant()));
        services.AddWeather(InstalledWeather.Setup(weather, Environment.GetEnvironmentVariable));
        await using ServiceProvider provider = services.BuildServiceProvider();
        PlaceWeather fetched = await provider.GetRequiredService<IWeatherSource>().FetchAsync(place, now, cancellationToken).ConfigureAwait(false);
        if (fetched.Weather is null)
        {
            return PreparedRound.Refused([$"No weather for {place.Site.LatitudeDeg}, {place.Site.LongitudeDeg}: {fetched.Trouble}."]);
        }

        var grower = new Grower("Grower", string.Empty, place.Zone, new LocalTime(5, 30), UnitSystem.Metric, [place.Name]);
        var request = new RoundRequest { Date = today, Now = now, Grower = grower.Name, Places = [fetched], Grafts = register.Grafts, Handbook = handbook.Value };
        return new PreparedRound(new RoundInputs(request, grower), [], []);
    }
}
