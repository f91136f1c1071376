using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.CommandLine;
using GraftWatch.Commands;
using GraftWatch.Forecasts;
using GraftWatch.Records;
using GraftWatch.Records.Register;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using Microsoft.Extensions.Logging.Abstractions;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>Prepares a round for a grower of an installation: register, store and weather as graftwatch.toml says, unless the command line names files.</summary>
internal static class InstalledRound
{
    internal static async Task<PreparedRound> PrepareAsync(Terminal terminal, RoundArguments arguments, CancellationToken cancellationToken)
    {
        if (Installation.Load(terminal, arguments.Config, out IReadOnlyList<string> faults) is not { } settings)
        {
            string hint = arguments is { Config: null, Weather: null } ? " Without an installation, give both --weather FILE and --grafts FILE.csv." : string.Empty;
            return PreparedRound.Refused([.. faults.Take(faults.Count - 1), faults[^1] + hint]);
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

    private static async Task<PreparedRound> PrepareAsync(
        Terminal terminal, RoundArguments arguments, SettingsInForce inForce, RecordsStore store, CancellationToken cancellationToken)
    {
        GrowerChoice choice = await GrowerChoice.OfAsync(inForce, store, arguments.Grower, cancellationToken).ConfigureAwait(false);
        if (choice.Grower is null)
        {
            return PreparedRound.Refused([choice.Fault]);
        }

        MorningSettings morning = WithZone(choice.Morning, arguments.Zone);
        ServeSettings settings = inForce.Current with { Morning = morning };
        Grower grower = choice.Grower with { Units = arguments.Units ?? choice.Grower.Units, Zone = arguments.Zone ?? choice.Grower.Zone };
        if (arguments.Planned.Count > 0)
        {
            var unread = new List<string>();
            grower = grower with { Planned = PlannedOptions.Read(arguments.Planned, morning.Handbook, grower.Places, unread) };
            if (unread.Count > 0)
            {
                return PreparedRound.Refused(unread);
            }
        }

        IRegister register = new RegisterOfInstallation(store.Register, () => settings, terminal.Clock);
        if (arguments.Grafts is { } path)
        {
            var faults = new List<string>();
            ReadOnlyMemory<byte> bytes = InputFile.Read(terminal, path, faults);
            var context = new RegisterContext { File = path, Places = [.. morning.Places.Values] };
            RegisterReading reading = RegisterCsv.Parse(bytes.Span, morning.Handbook, terminal.Now().InZone(grower.Zone).Date, context);
            faults.AddRange(faults.Count == 0 ? reading.Faults.Select(fault => fault.ToString()) : []);
            if (faults.Count == 0 && reading.Grafts.Count == 0)
            {
                faults.Add($"{path}: The register has no grafts.");
            }

            if (faults.Count > 0)
            {
                return PreparedRound.Refused(faults);
            }

            register = new GivenRegister(reading.Grafts, register);
        }

        try
        {
            return arguments.Weather is null
                ? await FetchedAsync(terminal, arguments, settings, store, morning, grower, register, cancellationToken).ConfigureAwait(false)
                : await SavedAsync(terminal, arguments, (grower, morning), register, cancellationToken).ConfigureAwait(false);
        }
        catch (RegisterRefusedException refused)
        {
            return PreparedRound.Refused(refused.Faults);
        }
    }

    private static async Task<PreparedRound> FetchedAsync(
        Terminal terminal, RoundArguments arguments, ServeSettings settings, RecordsStore store, MorningSettings morning, Grower grower, IRegister register, CancellationToken cancellationToken)
    {
        Instant now = terminal.Now();
        LocalDate today = now.InZone(grower.Zone).Date;
        if (arguments.Date is { } date && date != today)
        {
            return PreparedRound.Refused([$"--date: a fetched forecast is for today, {today:R}. For another day give a saved reply with --weather, or use replay."]);
        }

        var services = new ServiceCollection();
        services.AddLogging();
        services.AddSingleton(TimeProvider.System); // deadlines and pauses of the network are real seconds
        services.AddKeptWeather(store);
        services.AddSingleton<IWeatherNeeds>(new NeedsOfRegister(register, _ => Task.FromResult(morning), terminal.Clock));
        services.AddWeather(InstalledWeather.Setup(settings.Installation.Weather, Environment.GetEnvironmentVariable));
        await using ServiceProvider provider = services.BuildServiceProvider();
        var weather = new WeatherGathering(provider.GetRequiredService<IWeatherSource>(), NullLogger<WeatherGathering>.Instance);
        RoundRequest request = await new RoundMaking(register, weather).GatherAsync(grower, today, morning, now, cancellationToken).ConfigureAwait(false);
        string[] notes = [.. request.Places.Where(place => place.Weather is null).Select(place => $"No weather for {place.Place.Name}: {place.Trouble}")];
        return new PreparedRound(new RoundInputs(request, grower), notes, []);
    }

    private static async Task<PreparedRound> SavedAsync(
        Terminal terminal, RoundArguments arguments, (Grower Grower, MorningSettings Morning) served, IRegister register, CancellationToken cancellationToken)
    {
        Grower grower = served.Grower;
        var faults = new List<string>();
        ReadOnlyMemory<byte> weather = InputFile.Read(terminal, arguments.Weather!, faults);
        if (faults.Count > 0)
        {
            return PreparedRound.Refused(faults);
        }

        PreparedRound prepared = SavedRound.Prepare(
            new SavedRoundOptions
            {
                Weather = weather,
                WeatherName = Path.GetFileName(arguments.Weather!),
                WholeFile = arguments.WholeFile,
                Register = await register.LoadGraftsAsync(grower.Name, cancellationToken).ConfigureAwait(false),
                ConfigFolder = terminal.PathOf(arguments.Config ?? Installation.UsualFolder),
                Date = arguments.Date,
                Known = grower,
                Places = [.. served.Morning.Places.Values],
                Zone = arguments.Zone,
                Units = arguments.Units,
            },
            terminal.Now());
        if (prepared.Inputs is not { } inputs)
        {
            return PreparedRound.Refused(prepared.Faults, prepared.Notes);
        }

        RoundRequest request = inputs.Request with
        {
            Observations = await register.LoadObservationsAsync(grower.Name, cancellationToken).ConfigureAwait(false),
            Said = await register.LoadSaidAsync(grower.Name, cancellationToken).ConfigureAwait(false),
            Planned = grower.Planned,
        };
        return prepared with { Inputs = inputs with { Request = request } };
    }

    private static MorningSettings WithZone(MorningSettings morning, DateTimeZone? zone) => zone is null ? morning : morning with
    {
        Places = morning.Places.ToDictionary(pair => pair.Key, pair => pair.Value with { Zone = zone }, StringComparer.OrdinalIgnoreCase),
        Growers = [.. morning.Growers.Select(grower => grower with { Zone = zone })],
    };

    private sealed class GivenRegister(IReadOnlyList<Graft> grafts, IRegister rest) : IRegister
    {
        public Task<IReadOnlyList<Graft>> LoadGraftsAsync(string grower, CancellationToken cancellationToken) => Task.FromResult(grafts);

        public Task<IReadOnlyList<Observation>> LoadObservationsAsync(string grower, CancellationToken cancellationToken) => rest.LoadObservationsAsync(grower, cancellationToken);

        public Task<IReadOnlyList<SaidBefore>> LoadSaidAsync(string grower, CancellationToken cancellationToken) => rest.LoadSaidAsync(grower, cancellationToken);
    }
}
