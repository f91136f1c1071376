using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Tests.Scenes;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using GraftWatch.Rounds.Tests.Fakes;
using GraftWatch.Rounds.Urgent;
using GraftWatch.Settings;
using Microsoft.Extensions.Logging.Abstractions;
using NodaTime;

namespace GraftWatch.Rounds.Tests.Urgent;

/// <summary>A grower, bare unions, invented hours that the test turns, and a memory of what letters and notes said as the store keeps it.</summary>
internal sealed class UrgentRig : IWeatherSource, IRegister, ILetterComposer
{
    private const int DaysOfHours = 32;
    private static readonly Handbook Handbook = SettingsLoader.LoadHandbook(null).Value!;
    private readonly List<Graft> grafts = [];
    private readonly List<Observation> observations = [];
    private readonly Dictionary<(WorkAction Action, Hazard? Hazard, string Graft), SaidState> answers = [];
    private readonly WeatherGathering gathering;
    private readonly MorningRun mornings;
    private readonly MorningSettings settings;
    private readonly LetterSealing sealing;
    private SceneWeather hours;

    internal UrgentRig(LocalDate day, string zone = "Europe/Berlin", string letterTime = "05:30", bool leafed = false)
    {
        Day = day;
        Grower = Some.Grower(zone, letterTime) with { Urgent = [LetterSlot.Mail] };
        Home = new Place("home", new Site { LatitudeDeg = 48.5, LongitudeDeg = 9, ElevationM = 350 }, Grower.Zone);
        settings = new MorningSettings(Handbook, new Dictionary<string, Place> { ["home"] = Home }, [Grower], new MorningPolicy());
        hours = Mild();
        gathering = new WeatherGathering(this, NullLogger<WeatherGathering>.Instance);
        sealing = new LetterSealing(this, Ledger, Ledger);
        mornings = new MorningRun(new RoundMaking(this, gathering), new MorningSealing(sealing, Ledger), Ledger, NullLogger<MorningRun>.Instance);
        Run = NewRun();
        AddGraft("A", leafed);
    }

    internal static SceneDay HotDay { get; } = new() { LowC = 16, HighC = 34, DewPointC = 12, NoonSunWPerM2 = 950, CloudFrac = 0, WindMPerS = 1.5 };

    internal static SceneDay FrostNight { get; } = new() { LowC = -6, HighC = 12, DewPointC = -8, NoonSunWPerM2 = 500, CloudFrac = 0, WindMPerS = 0.8 };

    internal LocalDate Day { get; }

    internal Grower Grower { get; set; }

    internal Place Home { get; }

    internal FakeLedger Ledger { get; } = new();

    internal UrgentRun Run { get; private set; }

    internal bool IsAway { get; set; }

    /// <summary>Runs whenever what was said has been read; null for nothing.</summary>
    internal Func<Task>? SaidWasRead { get; set; }

    internal IReadOnlyList<LedgerEntry> Notes => [.. Ledger.Entries.Where(entry => entry.Letter.Slot.Kind == LetterKind.Urgent).OrderBy(entry => entry.Letter.Number)];

    /// <summary>Rounds of the letters and notes composed, in their order.</summary>
    internal List<Round> Composed { get; } = [];

    public string Name => "invented hours";

    /// <summary>A bare whip, which a hot day dries out; or one in leaf, which a frost kills.</summary>
    internal void AddGraft(string label, bool leafed = false) => grafts.Add(new Graft
    {
        Label = label,
        Place = "home",
        Species = "apple",
        Technique = Technique.WhipAndTongue,
        Made = Day.PlusDays(-12),
        AspectDeg = 180,
        HeightM = 0.4,
        DiameterM = 0.012,
        Tie = "budding-strip",
        Seal = "wax",
        Bbch = leafed ? 15 : null,
    });

    /// <summary>The grower notes what they saw.</summary>
    internal void Note(string label, Instant at, ObservationKind kind, double? value = null) => observations.Add(new Observation(label, at, kind, value));

    /// <summary>Local time of the rig's day, or of one some days later.</summary>
    internal Instant At(int hour, int minute = 0, int later = 0) => Day.PlusDays(later).At(new LocalTime(hour, minute)).InZoneLeniently(Grower.Zone).ToInstant();

    /// <summary>A program that starts anew: what it only had in memory is gone.</summary>
    internal UrgentRun NewRun() => Run = new UrgentRun(new RoundMaking(this, gathering), sealing, Ledger, this, NullLogger<UrgentRun>.Instance);

    internal Task<MorningOutcome> LetterAsync(Instant now) => mornings.LookAsync(Grower, settings, now, TestContext.Current.CancellationToken);

    internal Task<UrgentOutcome> LookAsync(Instant now, UrgentRun? other = null) => (other ?? Run).LookAsync(Grower, settings, now, TestContext.Current.CancellationToken);

    /// <summary>The forecast of now on has other days; the daemon fetches it at once.</summary>
    internal async Task TurnsAsync(Instant now, params (int Later, SceneDay Day)[] days)
    {
        hours = days.Aggregate(Mild(), (weather, one) => weather.On(Day.PlusDays(one.Later), one.Day));
        await gathering.FetchAsync([Home], now, TestContext.Current.CancellationToken);
    }

    /// <summary>The grower answers what the newest letter or note said.</summary>
    internal void Answer(SaidState state)
    {
        foreach (SaidLine line in Ledger.Said[^1])
        {
            answers[(line.Action, line.Hazard, line.Graft)] = state;
        }
    }

    public Task<PlaceWeather> FetchAsync(Place place, Instant now, CancellationToken cancellationToken)
    {
        HourlyWeather built = hours.Build();
        var info = new ForecastInfo(Name, string.Empty, now, built.FirstHourEnd, built.LastHourEnd, []);
        return Task.FromResult(IsAway ? new PlaceWeather(place, null, info, "no network") : new PlaceWeather(place, built, info));
    }

    public Task<IReadOnlyList<Graft>> LoadGraftsAsync(string grower, CancellationToken cancellationToken) => Task.FromResult<IReadOnlyList<Graft>>([.. grafts]);

    public Task<IReadOnlyList<Observation>> LoadObservationsAsync(string grower, CancellationToken cancellationToken) => Task.FromResult<IReadOnlyList<Observation>>([.. observations]);

    // As the store: the last line about a graft counts; without an answer it is open while the newest morning letter, or a note since, said it.
    public async Task<IReadOnlyList<SaidBefore>> LoadSaidAsync(string grower, CancellationToken cancellationToken)
    {
        LedgerEntry[] letters = [.. Ledger.Entries.OrderBy(entry => entry.Letter.Number)];
        LocalDate newest = letters.Where(entry => entry.Letter.Slot.Kind == LetterKind.Morning).Select(entry => entry.Letter.Slot.Date).DefaultIfEmpty(LocalDate.MinIsoValue).Max();
        var last = new Dictionary<(WorkAction, Hazard?, string), (SaidLine Line, LocalDate On)>();
        foreach ((LedgerEntry letter, IReadOnlyList<SaidLine> lines) in letters.Zip(Ledger.Said))
        {
            foreach (SaidLine line in lines)
            {
                last[(line.Action, line.Hazard, line.Graft)] = (line, letter.Letter.Slot.Date);
            }
        }

        IReadOnlyList<SaidBefore> said =
        [
            .. last.Where(pair => pair.Value.On >= newest || answers.ContainsKey(pair.Key)).Select(pair => new SaidBefore(
                pair.Value.Line.Action, pair.Value.Line.Hazard, pair.Value.Line.Graft, pair.Value.Line.FirstSaid, pair.Value.Line.Level,
                answers.GetValueOrDefault(pair.Key, SaidState.Open), null, answers.ContainsKey(pair.Key) ? pair.Value.On : null)),
        ];
        await (SaidWasRead?.Invoke() ?? Task.CompletedTask);
        return said;
    }

    public SealedLetter Compose(Round round, Grower grower, int number, Instant now) => Some.Letter(grower, round.Date, now, number);

    public IReadOnlyList<SealedLetter> ComposeAll(Round round, Grower grower, LetterOccasion occasion)
    {
        Composed.Add(round);
        SealedLetter letter = Compose(round, grower, occasion.Number, occasion.Now);
        return [letter with { Slot = letter.Slot with { Kind = occasion.Kind, Ordinal = occasion.Ordinal } }];
    }

    private SceneWeather Mild() => SceneWeather.At(Home, Day.PlusDays(-20), DaysOfHours);
}
