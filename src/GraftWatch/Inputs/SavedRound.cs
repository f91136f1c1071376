using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Explaining;
using GraftWatch.Forecasts.Joining;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Records.Register;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using GraftWatch.Settings;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>All that a round needs, put together from a saved reply and a register: whole, or every fault at once.</summary>
internal sealed class SavedRound
{
    private static readonly LocalTime UsualLetterTime = new(5, 30);
    private readonly SavedRoundOptions options;
    private readonly Instant clock;
    private readonly List<string> faults = [];
    private readonly List<string> notes = [];
    private Place? described;

    private SavedRound(SavedRoundOptions options, Instant clock)
    {
        this.options = options;
        this.clock = clock;
    }

    /// <summary>Puts the inputs together.</summary>
    internal static PreparedRound Prepare(SavedRoundOptions options, Instant clock)
    {
        var saved = new SavedRound(options, clock);
        RoundInputs? inputs = saved.Prepare();
        return new PreparedRound(saved.faults.Count == 0 ? inputs : null, saved.notes, saved.faults);
    }

    private RoundInputs? Prepare()
    {
        Loaded<Handbook> handbook = SettingsLoader.LoadHandbook(options.ConfigFolder, options.Thresholds);
        faults.AddRange(handbook.Faults.Select(fault => fault.ToString()));
        GraftWatchSettings? installation = LoadInstallation();
        Grower? configured = options.Known ?? ChooseGrower(installation);

        SavedReplyResult reply = SavedReply.Parse(options.Weather, options.WeatherName, startOfForecast: null);
        faults.AddRange(reply.Faults);

        described = options.Described?.Place(reply.Locations, options.WeatherName, faults);
        DateTimeZone growerZone = options.Zone ?? described?.Zone ?? configured?.Zone ?? FirstZone(reply);
        DayChoice? day = ChooseDay(reply, growerZone, configured);
        if (handbook.Value is null)
        {
            return null;
        }

        LocalDate today = day?.Date ?? clock.InZone(growerZone).Date;
        IReadOnlyList<Graft> grafts = options.Register ?? ReadRegister(handbook.Value, installation, today, []);
        if (faults.Count == 0 && grafts.Count == 0)
        {
            faults.Add($"{(options.GraftsName.Length > 0 ? options.GraftsName + ": " : string.Empty)}The register has no grafts.");
        }

        return faults.Count > 0 || day is null
            ? null
            : Join(handbook.Value, installation, configured, grafts, reply, day, growerZone);
    }

    private IReadOnlyList<Graft> ReadRegister(Handbook handbook, GraftWatchSettings? installation, LocalDate today, IEnumerable<Place> places)
    {
        var context = new RegisterContext
        {
            File = options.GraftsName,
            DefaultPlace = installation is { Places: [var first, ..] } ? first.Name : "home",
            LatitudesDeg = places.ToDictionary(place => place.Name, place => place.Site.LatitudeDeg, StringComparer.OrdinalIgnoreCase),
        };
        RegisterReading register = RegisterCsv.Parse(options.Grafts.Span, handbook, today, context);
        faults.AddRange(register.Faults.Select(fault => options.Described is null ? fault.ToString() : DescribedGraft.Words(fault)));
        return register.Grafts;
    }

    private RoundInputs? Join(
        Handbook handbook, GraftWatchSettings? installation, Grower? configured, IReadOnlyList<Graft> grafts, SavedReplyResult reply, DayChoice day, DateTimeZone growerZone)
    {
        Dictionary<string, Place> known = (options.Places ?? installation?.Places ?? []).ToDictionary(place => place.Name, StringComparer.OrdinalIgnoreCase);
        if (described is not null)
        {
            known[described.Name] = described;
        }

        string[] names = [.. grafts.Select(graft => graft.Place).Distinct(StringComparer.Ordinal)];
        PlaceMatchingResult matched = PlaceMatching.Match(names, reply.Locations, known, options.Zone, options.WeatherName);
        faults.AddRange(matched.Faults);
        notes.AddRange(matched.Notes);
        if (matched.Faults.Count > 0)
        {
            return null;
        }

        // Read again now that the places are known: the side of an unsaid aspect depends on the hemisphere.
        if (options.Register is null && matched.Places.Any(place => place.Place.Site.LatitudeDeg < 0))
        {
            grafts = ReadRegister(handbook, installation, day.Date, matched.Places.Select(place => place.Place).DistinctBy(place => place.Name, StringComparer.OrdinalIgnoreCase));
        }

        // Read again now that the morning is known: hours before it are past, later ones forecast.
        SavedReplyResult judged = SavedReply.Parse(options.Weather, options.WeatherName, day.Now);
        var grower = new Grower(
            configured?.Name ?? options.Grower ?? "Grower",
            configured?.Address ?? string.Empty,
            growerZone,
            configured?.LetterTime ?? UsualLetterTime,
            options.Units ?? configured?.Units ?? UnitSystem.Metric,
            names)
        {
            Planned = configured?.Planned ?? [],
        };
        if (options.Planned.Count > 0)
        {
            grower = grower with { Planned = PlannedOptions.Read(options.Planned, handbook, [.. matched.Places.Select(place => place.Place.Name)], faults) };
        }

        return faults.Count > 0 ? null : new RoundInputs(
            new RoundRequest
            {
                Date = day.Date,
                Now = day.Now,
                Grower = grower.Name,
                Units = grower.Units,
                Places = [.. matched.Places.Select(place => Hours(place, judged, day))],
                Grafts = grafts,
                Handbook = handbook,
                Planned = grower.Planned,
            },
            grower);
    }

    private PlaceWeather Hours(MatchedPlace place, SavedReplyResult judged, DayChoice day)
    {
        ReplyLocation location = judged.Locations.First(candidate => candidate.Index == place.Location.Index);
        string source = $"saved reply {options.WeatherName}";
        if (location.Weather is { } whole
            && (options.WholeFile ? whole : WeatherWindow.Cut(whole, whole.FirstHourEnd, day.LastHourEnd(place.Place.Zone))) is { } weather)
        {
            return new PlaceWeather(
                place.Place, weather, new ForecastInfo(source, options.Credit, null, weather.FirstHourEnd, weather.LastHourEnd, location.Gaps));
        }

        return new PlaceWeather(
            place.Place, null, new ForecastInfo(source, options.Credit, null, day.Now, day.Now, []), $"{options.WeatherName} has no hours for {place.Place.Name}");
    }

    private DayChoice? ChooseDay(SavedReplyResult reply, DateTimeZone growerZone, Grower? configured)
    {
        if (reply.Locations.FirstOrDefault(location => location.Weather is not null)?.Weather is not { } weather)
        {
            return null;
        }

        DayChoice? day = DayChoice.Choose(options.Date, weather, growerZone, configured?.LetterTime ?? UsualLetterTime, clock, options.WeatherName, options.WholeFile, out string fault);
        if (day is null)
        {
            faults.Add(fault);
        }
        else if (day.Note.Length > 0)
        {
            notes.Add(day.Note);
        }

        return day;
    }

    private static DateTimeZone FirstZone(SavedReplyResult reply) =>
        reply.Locations.Count > 0 ? PlaceMatching.ZoneOf(reply.Locations[0]) : DateTimeZone.Utc;

    private GraftWatchSettings? LoadInstallation()
    {
        string? path = options.ConfigFolder is { } folder ? Path.Combine(folder, SettingsLoader.InstallationName) : null;
        if (path is null || !File.Exists(path))
        {
            return null;
        }

        Loaded<GraftWatchSettings> loaded = SettingsLoader.LoadGraftWatch(path);
        faults.AddRange(loaded.Faults.Select(fault => fault.ToString()));
        return loaded.Value;
    }

    // Without growers a name is only a heading.
    private Grower? ChooseGrower(GraftWatchSettings? installation)
    {
        if (installation is not { Growers: [var first, ..] })
        {
            return null;
        }

        if (options.Grower is null)
        {
            return ServeSettings.GrowerOf(first);
        }

        GrowerSettings? named = installation.Growers.FirstOrDefault(grower => string.Equals(grower.Name, options.Grower, StringComparison.OrdinalIgnoreCase));
        if (named is null)
        {
            faults.Add($"{installation.File} has no grower named {options.Grower}; it has {string.Join(", ", installation.Growers.Select(grower => grower.Name))}.");
        }

        return named is null ? null : ServeSettings.GrowerOf(named);
    }
}

/// <summary>What a round is prepared from.</summary>
internal sealed record SavedRoundOptions
{
    /// <summary>Bytes of the saved reply.</summary>
    public required ReadOnlyMemory<byte> Weather { get; init; }

    /// <summary>Name of the saved reply, for sentences.</summary>
    public required string WeatherName { get; init; }

    /// <summary>Credit line of whoever made the weather; empty when unknown.</summary>
    public string Credit { get; init; } = string.Empty;

    /// <summary>Bytes of the register as CSV; not read when <see cref="Register"/> is given.</summary>
    public ReadOnlyMemory<byte> Grafts { get; init; }

    /// <summary>Name of the register, for faults.</summary>
    public string GraftsName { get; init; } = string.Empty;

    /// <summary>A register that was read already; null to read <see cref="Grafts"/>.</summary>
    public IReadOnlyList<Graft>? Register { get; init; }

    /// <summary>Folder of the settings; null for the shipped ones.</summary>
    public string? ConfigFolder { get; init; }

    /// <summary>A thresholds file in place of the folder's.</summary>
    public string? Thresholds { get; init; }

    /// <summary>The day; null to choose one.</summary>
    public LocalDate? Date { get; init; }

    /// <summary>The grower; null for the first of the settings.</summary>
    public string? Grower { get; init; }

    /// <summary>The grower, where they are known already; null to look for <see cref="Grower"/> in the settings.</summary>
    public Grower? Known { get; init; }

    /// <summary>Every place there is; null for those of the settings.</summary>
    public IReadOnlyList<Place>? Places { get; init; }

    /// <summary>Zone of all places; null for their own.</summary>
    public DateTimeZone? Zone { get; init; }

    /// <summary>A graft the user described, whose register <see cref="Grafts"/> is; its place wins over the settings and the reply.</summary>
    public DescribedGraft? Described { get; init; }

    /// <summary>Whether every hour of the file counts, and the day, when none is named, is the last one of a file that does not reach today.</summary>
    public bool WholeFile { get; init; }

    /// <summary>Graftings planned, as written; empty for the grower's.</summary>
    public IReadOnlyList<string> Planned { get; init; } = [];

    /// <summary>Units of the texts; null for the grower's.</summary>
    public UnitSystem? Units { get; init; }
}
