using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.CommandLine;
using GraftWatch.Commands;
using GraftWatch.Forecasts;
using GraftWatch.Inputs;
using GraftWatch.Records;
using GraftWatch.Records.Register;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using NodaTime;

namespace GraftWatch.Replaying;

/// <summary>Puts a season together whose hours are fetched from the archive: places from the settings, register from a file or the store.</summary>
internal static class ArchivedSeason
{
    /// <summary>What is written behind <c>--weather</c>.</summary>
    internal const string Word = "archive";

    /// <summary>Days before the season that are asked for, so that stems, soil and healing have their past. [d]</summary>
    private const int DaysBefore = 60;

    /// <summary>Days after it, for the forecasts of its last mornings. [d]</summary>
    private const int DaysAfter = 10;

    internal static async Task<PreparedRound> PrepareAsync(Terminal terminal, ReplayArguments arguments, CancellationToken cancellationToken)
    {
        SettingsInForce? settings = Installation.Load(terminal, arguments.Round.Config, out IReadOnlyList<string> faults);
        if (settings is null)
        {
            return PreparedRound.Refused([.. faults, "--weather archive fetches hours for the places of graftwatch.toml."]);
        }

        (RecordsStore? store, string trouble) = await Installation.OpenStoreAsync(settings.Current.Installation, terminal.Clock, checkForDamage: false, cancellationToken).ConfigureAwait(false);
        if (store is null)
        {
            return PreparedRound.Refused([trouble]);
        }

        await using (store.ConfigureAwait(false))
        {
            return await PrepareAsync(terminal, arguments, settings, store, cancellationToken).ConfigureAwait(false);
        }
    }

    private static async Task<PreparedRound> PrepareAsync(Terminal terminal, ReplayArguments arguments, SettingsInForce settings, RecordsStore store, CancellationToken cancellationToken)
    {
        GrowerChoice choice = await GrowerChoice.OfAsync(settings, store, arguments.Round.Grower, cancellationToken).ConfigureAwait(false);
        if (choice.Grower is not { } grower)
        {
            return PreparedRound.Refused([choice.Fault]);
        }

        MorningSettings morning = choice.Morning;
        grower = arguments.Round.Zone is { } zone ? grower with { Zone = zone } : grower;
        Instant to = Instant.Min(grower.Zone.AtStartOfDay(arguments.To.PlusDays(DaysAfter + 1)).ToInstant(), terminal.Now());
        if (grower.Zone.AtStartOfDay(arguments.To).ToInstant() >= terminal.Now())
        {
            return PreparedRound.Refused([$"--to {arguments.To:R} is not past; the archive holds past hours only."]);
        }

        (IReadOnlyList<Graft> grafts, IReadOnlyList<Observation> observations, IReadOnlyList<string> register) =
            await RegisterAsync(terminal, arguments, settings.Current with { Morning = morning }, store, grower, cancellationToken).ConfigureAwait(false);
        if (register.Count > 0)
        {
            return PreparedRound.Refused(register);
        }

        Instant from = grower.Zone.AtStartOfDay(arguments.From.PlusDays(-DaysBefore)).ToInstant();
        Place[] places = [.. morning.Places.Values.Where(place => grafts.Any(graft => graft.Place == place.Name)).Select(place => arguments.Round.Zone is { } other ? place with { Zone = other } : place)];
        PlaceWeather[] fetched = await FetchAsync(places, settings.Current, from, to, cancellationToken).ConfigureAwait(false);
        string[] troubles = [.. fetched.Where(place => place.Weather is null).Select(place => $"--weather archive: no hours for {place.Place.Name}, because {place.Trouble}. Save a reply while the network is there and give it with --weather FILE.")];
        return troubles.Length > 0
            ? PreparedRound.Refused(troubles)
            : new PreparedRound(new RoundInputs(Request(arguments, grower, morning, fetched, grafts, observations, terminal.Now()), grower), [], []);
    }

    private static RoundRequest Request(
        ReplayArguments arguments, Grower grower, MorningSettings morning, PlaceWeather[] places, IReadOnlyList<Graft> grafts, IReadOnlyList<Observation> observations, Instant now) => new()
        {
            Date = arguments.To,
            Now = now,
            Grower = grower.Name,
            Units = grower.Units,
            Places = places,
            Grafts = grafts,
            Observations = observations,
            Handbook = morning.Handbook,
        };

    private static async Task<(IReadOnlyList<Graft> Grafts, IReadOnlyList<Observation> Observations, IReadOnlyList<string> Faults)> RegisterAsync(
        Terminal terminal, ReplayArguments arguments, ServeSettings settings, RecordsStore store, Grower grower, CancellationToken cancellationToken)
    {
        if (arguments.Round.Grafts is { } path)
        {
            var faults = new List<string>();
            ReadOnlyMemory<byte> bytes = InputFile.Read(terminal, path, faults);
            if (faults.Count > 0)
            {
                return ([], [], faults);
            }

            RegisterReading reading = RegisterCsv.Parse(
                bytes.Span, settings.Morning.Handbook, terminal.Now().InZone(grower.Zone).Date, new RegisterContext { File = path, Places = [.. settings.Morning.Places.Values] });
            return (reading.Grafts, [], [.. reading.Faults.Select(fault => fault.ToString())]);
        }

        var register = new RegisterOfInstallation(store.Register, () => settings, terminal.Clock);
        try
        {
            return (
                await register.LoadGraftsAsync(grower.Name, cancellationToken).ConfigureAwait(false),
                await register.LoadObservationsAsync(grower.Name, cancellationToken).ConfigureAwait(false),
                []);
        }
        catch (RegisterRefusedException refused)
        {
            return ([], [], refused.Faults);
        }
    }

    private static async Task<PlaceWeather[]> FetchAsync(Place[] places, ServeSettings settings, Instant from, Instant to, CancellationToken cancellationToken)
    {
        var services = new ServiceCollection();
        services.AddLogging();
        services.AddSingleton(TimeProvider.System); // deadlines and pauses of the network are real seconds
        services.AddWeather(InstalledWeather.Setup(settings.Installation.Weather, Environment.GetEnvironmentVariable));
        ServiceProvider provider = services.BuildServiceProvider();
        await using (provider.ConfigureAwait(false))
        {
            // What models analysed, not what was forecast: those are added in this order.
            IPastWeatherSource archive = provider.GetServices<IPastWeatherSource>().Last();
            var fetched = new PlaceWeather[places.Length];
            for (int i = 0; i < places.Length; i++)
            {
                fetched[i] = await archive.FetchPastAsync(places[i], from, to, cancellationToken).ConfigureAwait(false);
            }

            return fetched;
        }
    }
}
