using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using GraftWatch.Rounds.Tests.Fakes;
using GraftWatch.Settings;
using Microsoft.Extensions.Logging.Abstractions;
using NodaTime;

namespace GraftWatch.Rounds.Tests.Pipeline;

public sealed class MorningRunTests
{
    private static readonly Handbook Handbook = SettingsLoader.LoadHandbook(null).Value!;
    private static readonly Instant Due = Some.At("2026-05-14T03:30:00Z");
    private readonly Grower grower = Some.Grower();
    private readonly FakeLedger ledger = new();
    private readonly FakeWeather weather = new();
    private readonly FakeComposer composer = new();
    private readonly MorningSettings settings;
    private readonly MorningRun run;

    public MorningRunTests()
    {
        var home = new Place("home", new Site { LatitudeDeg = 48, LongitudeDeg = 9, ElevationM = 400 }, grower.Zone);
        settings = new MorningSettings(Handbook, new Dictionary<string, Place> { ["home"] = home }, [grower], new MorningPolicy());
        var rounds = new RoundMaking(new FakeRegister(), new WeatherGathering(weather, NullLogger<WeatherGathering>.Instance));
        run = new MorningRun(rounds, new MorningSealing(new LetterSealing(composer, ledger, ledger), ledger), ledger, NullLogger<MorningRun>.Instance);
    }

    [Fact]
    public async Task Before_the_hour_nothing_is_fetched_and_nothing_sealed()
    {
        Assert.IsType<MorningOutcome.NotYet>(await LookAsync(Due - Duration.FromSeconds(1)));
        Assert.Empty(ledger.Entries);
        Assert.Equal(0, weather.Fetches);
    }

    [Fact]
    public async Task What_the_grower_plans_to_graft_is_judged_by_the_morning_round()
    {
        Grower planning = grower with { Planned = [new PlannedGrafting("home", "apple", Technique.Bark)] };
        var rounds = new RoundMaking(new FakeRegister(), new WeatherGathering(weather, NullLogger<WeatherGathering>.Instance));
        MadeRound made = await rounds.MakeAsync(planning, new LocalDate(2026, 5, 14), settings, Due, TestContext.Current.CancellationToken);
        GraftingOutlook outlook = Assert.Single(made.Round.Planned);
        Assert.Equal(("home", "apple", Technique.Bark), (outlook.Place, outlook.Species, outlook.Technique));
    }

    [Fact]
    public async Task Looking_again_and_again_seals_one_letter()
    {
        Assert.IsType<MorningOutcome.Sealed>(await LookAsync(Due));
        for (int minute = 1; minute < 90; minute++)
        {
            Assert.IsType<MorningOutcome.AlreadySealed>(await LookAsync(Due + Duration.FromMinutes(minute)));
        }

        Assert.Single(ledger.Entries);
        Assert.Equal(1, weather.Fetches);
    }

    [Fact]
    public async Task Two_runs_at_the_same_moment_seal_one_letter()
    {
        MorningOutcome[] outcomes = await Task.WhenAll(Enumerable.Range(0, 8).Select(_ => Task.Run(() => LookAsync(Due))));
        Assert.Single(outcomes.OfType<MorningOutcome.Sealed>());
        Assert.Single(ledger.Entries);
    }

    [Fact]
    public async Task A_letter_waits_for_weather_half_an_hour_and_no_longer()
    {
        weather.Trouble = "no network";
        var waits = Assert.IsType<MorningOutcome.WaitsForWeather>(await LookAsync(Due));
        Assert.Equal(Due + Duration.FromMinutes(30), waits.Until);
        Assert.IsType<MorningOutcome.WaitsForWeather>(await LookAsync(Due + Duration.FromMinutes(29)));
        var went = Assert.IsType<MorningOutcome.Sealed>(await LookAsync(Due + Duration.FromMinutes(30)));
        Assert.Equal("no network", Assert.Single(went.WithoutWeather).Trouble);
    }

    [Fact]
    public async Task Weather_that_comes_while_the_letter_waits_goes_into_it()
    {
        weather.Trouble = "no network";
        await LookAsync(Due);
        weather.Trouble = null;
        var went = Assert.IsType<MorningOutcome.Sealed>(await LookAsync(Due + Duration.FromMinutes(3)));
        Assert.Empty(went.WithoutWeather);
        Assert.False(went.IsLate);
    }

    [Fact]
    public async Task Letters_are_numbered_without_gaps_over_the_days()
    {
        for (int day = 0; day < 5; day++)
        {
            await LookAsync(Due + Duration.FromDays(day));
        }

        Assert.Equal([1, 2, 3, 4, 5], ledger.Entries.Select(entry => entry.Letter.Number).Order());
    }

    [Fact]
    public async Task What_yesterday_kept_from_arriving_is_told()
    {
        var first = (MorningOutcome.Sealed)await LookAsync(Due);
        await ledger.RecordTryAsync(first.Letter.Slot, new DeliveryResult(DeliveryOutcome.GiveUp, DeliveryReason.TooLate, "no route to host"), Due, default);
        var second = (MorningOutcome.Sealed)await LookAsync(Due + Duration.FromDays(1));
        Assert.Contains("Yesterday's letter (No. 1) did not reach you: no route to host.", second.Letter.Subject, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(1, "Yesterday's letter (No. 1) is still on its way; follow this one.")]
    [InlineData(2, "There was no letter on 15 May; what still stands is in this one.")]
    [InlineData(4, "There was no letter from 15 May to 17 May; what still stands is in this one.")]
    public async Task Days_that_passed_while_nothing_ran_are_told_by_the_next_letter(int daysLater, string told)
    {
        await LookAsync(Due);
        var next = (MorningOutcome.Sealed)await LookAsync(Due + Duration.FromDays(daysLater));
        Assert.Equal(told, next.Letter.Subject);
    }

    [Fact]
    public async Task One_copy_that_arrived_is_news_enough_of_yesterday()
    {
        var first = (MorningOutcome.Sealed)await LookAsync(Due, grower with { Morning = ["mail", "phone"] });
        Assert.Equal([("mail", 1), ("phone", 1)], first.Letters.Select(letter => (letter.Slot.Channel, letter.Number)));
        await ledger.RecordTryAsync(first.Letters[0].Slot, new DeliveryResult(DeliveryOutcome.GiveUp, DeliveryReason.TooLate, "no route to host"), Due, default);
        await ledger.RecordTryAsync(first.Letters[1].Slot, DeliveryResult.Accepted("200"), Due, default);
        var second = (MorningOutcome.Sealed)await LookAsync(Due + Duration.FromDays(1));
        Assert.Empty(second.Letter.Subject);
    }

    [Fact]
    public async Task Another_choice_of_channels_makes_no_second_letter_of_the_day()
    {
        await LookAsync(Due);
        var fresh = new MorningRun(new RoundMaking(new FakeRegister(), new WeatherGathering(weather, NullLogger<WeatherGathering>.Instance)), new MorningSealing(new LetterSealing(composer, ledger, ledger), ledger), ledger, NullLogger<MorningRun>.Instance);
        Assert.IsType<MorningOutcome.AlreadySealed>(await fresh.LookAsync(grower with { Morning = ["phone"] }, settings, Due + Duration.FromMinutes(1), default));
        Assert.Single(ledger.Entries);
    }

    [Fact]
    public async Task On_a_day_that_is_closed_no_round_is_computed()
    {
        ledger.ClosedBefore = new LocalDate(2026, 5, 15);
        Assert.IsType<MorningOutcome.Closed>(await LookAsync(Due));
        Assert.Equal(0, weather.Fetches);
        Assert.IsType<MorningOutcome.Sealed>(await LookAsync(Due + Duration.FromDays(1)));
    }

    [Fact]
    public async Task A_number_taken_meanwhile_is_composed_once_more_and_a_second_time_is_an_outcome()
    {
        int others = 0;
        ledger.BeforeSeal = () => Interrupt(1);
        var went = Assert.IsType<MorningOutcome.Sealed>(await LookAsync(Due));
        Assert.Equal(2, went.Letter.Number);

        ledger.BeforeSeal = () => Interrupt(99);
        Assert.IsType<MorningOutcome.Crowded>(await LookAsync(Due + Duration.FromDays(1)));
        ledger.BeforeSeal = null;
        Assert.IsType<MorningOutcome.Sealed>(await LookAsync(Due + Duration.FromDays(1) + Duration.FromMinutes(1)));

        // Another program seals a note of the grower just before this one seals its letter.
        void Interrupt(int most)
        {
            if (others < most)
            {
                Action? before = ledger.BeforeSeal;
                ledger.BeforeSeal = null;
                int number = ledger.NextNumberAsync(grower.Name, default).Result;
                SealedLetter note = Some.Letter(grower, new LocalDate(2026, 5, 1), Due, number);
                Assert.True(ledger.SealAsync(note with { Slot = note.Slot with { Kind = LetterKind.Urgent, Ordinal = others } }, default).Result);
                others++;
                ledger.BeforeSeal = before;
            }
        }
    }

    [Fact]
    public async Task The_letter_knows_its_too_late_hour_and_the_mail_before_it_however_long_ago()
    {
        await LookAsync(Due);
        var later = (MorningOutcome.Sealed)await LookAsync(Due + Duration.FromDays(6));
        Assert.Equal(Some.At("2026-05-20T14:00:00Z"), later.Letter.UsefulUntil);
        Assert.Equal(1, composer.Last!.Previous!.Number);
        Assert.Equal(Due + Duration.FromDays(6), composer.Last.DueAt);
    }

    [Fact]
    public async Task Growers_of_one_place_share_a_fetch()
    {
        for (int one = 0; one < 5; one++)
        {
            await LookAsync(Due + Duration.FromSeconds(one), grower with { Name = "Grower " + one });
        }

        Assert.Equal(1, weather.Fetches);
        Assert.Equal(5, ledger.Entries.Count);
    }

    [Fact]
    public async Task After_the_too_late_hour_a_letter_that_was_not_made_stays_unmade()
    {
        Assert.IsType<MorningOutcome.TooLate>(await LookAsync(Some.At("2026-05-14T14:00:00Z")));
        Assert.Empty(ledger.Entries);
    }

    private Task<MorningOutcome> LookAsync(Instant now, Grower? whose = null) => run.LookAsync(whose ?? grower, settings, now, TestContext.Current.CancellationToken);

    private sealed class FakeRegister : IRegister
    {
        private static readonly Graft Graft = new()
        {
            Label = "A-1",
            Place = "home",
            Species = "apple",
            Technique = Technique.WhipAndTongue,
            Made = new LocalDate(2026, 5, 10),
            AspectDeg = 180,
            HeightM = 0.25,
            DiameterM = 0.012,
        };

        public Task<IReadOnlyList<Graft>> LoadGraftsAsync(string grower, CancellationToken cancellationToken) => Task.FromResult<IReadOnlyList<Graft>>([Graft]);

        public Task<IReadOnlyList<Observation>> LoadObservationsAsync(string grower, CancellationToken cancellationToken) => Task.FromResult<IReadOnlyList<Observation>>([]);

        public Task<IReadOnlyList<SaidBefore>> LoadSaidAsync(string grower, CancellationToken cancellationToken) => Task.FromResult<IReadOnlyList<SaidBefore>>([]);
    }

    private sealed class FakeWeather : IWeatherSource
    {
        public string Name => "fake";

        internal string? Trouble { get; set; }

        internal int Fetches { get; private set; }

        public Task<PlaceWeather> FetchAsync(Place place, Instant now, CancellationToken cancellationToken)
        {
            Fetches++;
            Instant first = Instant.FromUnixTimeSeconds(now.ToUnixTimeSeconds() / 3600 * 3600 - 48 * 3600);
            var builder = new HourlyWeather.Builder(first, 240);
            for (int hour = 0; hour < 240; hour++)
            {
                builder.Set(WeatherQuantity.AirC, hour, 15, WeatherOrigin.Forecast);
            }

            HourlyWeather hours = builder.Build();
            var info = new ForecastInfo("fake", string.Empty, now, hours.FirstHourEnd, hours.LastHourEnd, []);
            return Task.FromResult(Trouble is null ? new PlaceWeather(place, hours, info) : new PlaceWeather(place, null, info, Trouble));
        }
    }

    private sealed class FakeComposer : ILetterComposer
    {
        public SealedLetter Compose(Round round, Grower grower, int number, Instant now) => Some.Letter(grower, round.Date, now, number);

        internal LetterOccasion? Last { get; private set; }

        public IReadOnlyList<SealedLetter> ComposeAll(Round round, Grower grower, LetterOccasion occasion)
        {
            Last = occasion;
            SealedLetter letter = Compose(round, grower, occasion.Number, occasion.Now) with { Subject = occasion.Notice };
            return [.. grower.Morning.Select(channel => letter with { Slot = letter.Slot with { Channel = channel } })];
        }
    }
}
