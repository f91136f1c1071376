using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Urgent;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class BookContract : StoreContract
{
    private static readonly DateTimeZone Berlin = DateTimeZoneProviders.Tzdb["Europe/Berlin"];

    [Fact]
    public async Task A_grower_comes_back_with_places_in_their_order()
    {
        var ada = new Grower(Sample.Grower, "ada@example.org", Berlin, new LocalTime(6, 30), UnitSystem.Metric, ["Long Meadow", "Hill"]);
        await Store.Book.SaveGrowerAsync(ada with { Places = ["x", "y", "z"], Units = UnitSystem.UnitedStates }, Stop);
        await Store.Book.SaveGrowerAsync(ada, Stop);
        await ReopenAsync();
        Grower back = Assert.Single(await Store.Book.LoadGrowersAsync(Stop));
        Assert.Equal(ada with { Places = [] }, back with { Places = [] });
        Assert.Equal(ada.Places, back.Places);
    }

    [Fact]
    public async Task A_growers_wishes_come_back()
    {
        var ada = new Grower(Sample.Grower, "ada@example.org", Berlin, new LocalTime(6, 30), UnitSystem.Metric, []);
        await Store.Book.SaveGrowerAsync(ada, Stop);
        Assert.Equal(ada with { Places = [] }, Assert.Single(await Store.Book.LoadGrowersAsync(Stop)) with { Places = [] });

        Grower choosy = ada with { Wishes = new UrgentWishes(1, new LocalTime(21, 15), new LocalTime(5, 0), FrostPasses: false), Picture = false, Calendar = false };
        await Store.Book.SaveGrowerAsync(choosy, Stop);
        await ReopenAsync();
        Assert.Equal(choosy with { Places = [] }, Assert.Single(await Store.Book.LoadGrowersAsync(Stop)) with { Places = [] });
    }

    [Fact]
    public async Task A_grower_who_is_known_only_by_letters_is_not_in_the_book()
    {
        await Store.Ledger.SealAsync(Sample.Letter(), Stop);
        Assert.Empty(await Store.Book.LoadGrowersAsync(Stop));
    }

    [Fact]
    public async Task A_place_comes_back_as_it_was()
    {
        var site = new Site
        {
            LatitudeDeg = 47.123456789,
            LongitudeDeg = -8.5,
            ElevationM = 431.5,
            GroundAlbedoFrac = 0.23,
            RoughnessM = 0.3,
            ShelterWindFrac = 0.6,
            FrostOffsetK = -1.25,
            HorizonDeg = [0, 3.5, 12],
            AvailableSoilWaterMm = 120,
        };
        var place = new Place("Long Meadow", site, Berlin) { Assumed = ["The soil was not said: loam."] };
        await Store.Book.SavePlaceAsync(place with { Site = site with { ElevationM = 1 } }, Stop);
        await Store.Book.SavePlaceAsync(place, Stop);
        await ReopenAsync();
        Place back = Assert.Single(await Store.Book.LoadPlacesAsync(Stop));
        Assert.Equivalent(site, back.Site, strict: true);
        Assert.Equal((place.Name, place.Zone), (back.Name, back.Zone));
        Assert.Equal(place.Assumed, back.Assumed);
    }

    [Fact]
    public async Task Channels_come_back_in_their_order_with_their_holding_hours()
    {
        GrowerChannel[] channels =
        [
            new("mail", "mail", "ada@example.org", true, false),
            new("phone", GrowerChannelKinds.TextPost, "https://push.example/ada", false, true, new LocalTime(22, 0), new LocalTime(5, 30)),
        ];
        await Store.Book.SaveChannelsAsync(Sample.Grower, [.. channels.Reverse()], Stop);
        await Store.Book.SaveChannelsAsync(Sample.Grower, channels, Stop);
        await ReopenAsync();
        Assert.Equal(channels, await Store.Book.LoadChannelsAsync(Sample.Grower, Stop));
        Assert.Empty(await Store.Book.LoadChannelsAsync("Bo Reed", Stop));
        await Store.Book.SaveChannelsAsync("Bo Reed", channels[..1], Stop);
        ILookup<string, GrowerChannel> all = await Store.Book.LoadAllChannelsAsync(Stop);
        Assert.Equal(channels, all[Sample.Grower]);
        Assert.Equal(channels[..1], all["Bo Reed"]);
    }

    [Fact]
    public async Task Who_joins_is_there_with_place_channel_and_person()
    {
        Joining ada = Joining("Ada", "ada@example.org", "Hill");
        Assert.Equal(JoinOutcome.Joined, await Store.Book.JoinAsync(ada, Stop));
        await ReopenAsync();
        Assert.Equal(["Hill"], (await Store.Book.FindGrowerAsync("Ada", Stop))!.Places);
        Assert.Equal("Hill", Assert.Single(await Store.Book.LoadPlacesAsync(Stop)).Name);
        Assert.Equal(ada.Channels, await Store.Book.LoadChannelsAsync("Ada", Stop));
        Assert.Equal("de", (await Store.People.FindAsync("ada@example.org", Stop))!.Language);
    }

    [Theory]
    [InlineData("ADA", "bo@example.org", "Brook", JoinOutcome.NameTaken)]
    [InlineData("Bo", "Ada@Example.org", "Brook", JoinOutcome.AddressTaken)]
    [InlineData("Bo", "bo@example.org", "hill", JoinOutcome.PlaceTaken)]
    public async Task Who_joins_with_what_is_anothers_leaves_nothing_behind(string name, string address, string place, JoinOutcome outcome)
    {
        await Store.Book.JoinAsync(Joining("Ada", "ada@example.org", "Hill"), Stop);
        Assert.Equal(outcome, await Store.Book.JoinAsync(Joining(name, address, place), Stop));
        await ReopenAsync();
        Assert.Equal(("Ada", "ada@example.org"), Assert.Single(await Store.Book.LoadGrowersAsync(Stop)) is var kept ? (kept.Name, kept.Address) : default);
        Assert.Equal("Hill", Assert.Single(await Store.Book.LoadPlacesAsync(Stop)).Name);
        Assert.Empty(await Store.Book.LoadChannelsAsync(name, Stop));
        Assert.Null(await Store.People.FindAsync("bo@example.org", Stop));
    }

    [Fact]
    public async Task What_is_saved_beside_joining_never_makes_a_second_of_one_name()
    {
        Joining ada = Joining("Ada", "ada@example.org", "Hill");
        await Task.WhenAll(
            [Store.Book.JoinAsync(ada, Stop), .. Enumerable.Range(0, 8).SelectMany(i => (Task[])
            [
                Store.Book.SaveGrowerAsync(ada.Grower with { Name = i % 2 == 0 ? "ADA" : "ada" }, Stop),
                Store.Book.SavePlaceAsync(ada.Place! with { Name = i % 2 == 0 ? "HILL" : "hill" }, Stop),
            ])]);
        await ReopenAsync();
        Assert.Single(await Store.Book.LoadGrowersAsync(Stop));
        Assert.Single(await Store.Book.LoadPlacesAsync(Stop));
    }

    // Somebody who was struck out of graftwatch.toml left letters, grafts and notes under their name.
    [Fact]
    public async Task The_name_of_somebody_who_left_letters_is_only_for_whoever_read_them()
    {
        await Store.Ledger.SealAsync(Sample.Letter(), Stop);
        string reader = Sample.Letter().Recipient;
        Assert.Equal(JoinOutcome.NameTaken, await Store.Book.JoinAsync(Joining(Sample.Grower, "stranger@example.org", "Hill"), Stop));
        Assert.Equal(JoinOutcome.NameTaken, await Store.Book.JoinAsync(Joining(Sample.Grower.ToUpperInvariant(), "stranger@example.org", "Hill"), Stop));
        Assert.Empty(await Store.Book.LoadGrowersAsync(Stop));
        Assert.Equal(JoinOutcome.Joined, await Store.Book.JoinAsync(Joining(Sample.Grower, reader.ToUpperInvariant(), "Hill"), Stop));
    }

    [Fact]
    public async Task A_name_that_holds_grafts_and_no_letter_is_nobodys_to_take_and_an_empty_one_is()
    {
        await FilledStore.FillAsync(Store, Stop);
        IReadOnlyList<Graft> grafts = await Store.Register.LoadGraftsAsync(Sample.Grower, Stop);
        await Store.Keeper.ReplaceGraftsAsync("Cy", grafts, Stop);
        Assert.Equal(JoinOutcome.NameTaken, await Store.Book.JoinAsync(Joining("Cy", "cy@example.org", "Brook"), Stop));
        await Store.Keeper.ReplaceGraftsAsync("Cy", [], Stop);
        Assert.Equal(JoinOutcome.Joined, await Store.Book.JoinAsync(Joining("Cy", "cy@example.org", "Brook"), Stop));
        Assert.Equal(JoinOutcome.NameTaken, await Store.Book.JoinAsync(Joining(LetterSlot.OperatorName, "di@example.org", "Dell"), Stop));
    }

    [Fact]
    public async Task Of_those_who_join_at_once_under_one_name_one_is_in_and_no_place_of_the_others_stays()
    {
        JoinOutcome[] outcomes = await Task.WhenAll(Enumerable.Range(0, 8).Select(i => Store.Book.JoinAsync(Joining("Ada", $"ada{i}@example.org", $"Hill {i}"), Stop)));
        Assert.Single(outcomes, outcome => outcome == JoinOutcome.Joined);
        int first = Array.IndexOf(outcomes, JoinOutcome.Joined);
        Assert.Equal($"ada{first}@example.org", Assert.Single(await Store.Book.LoadGrowersAsync(Stop)).Address);
        Assert.Equal($"Hill {first}", Assert.Single(await Store.Book.LoadPlacesAsync(Stop)).Name);
    }

    [Fact]
    public async Task A_place_is_changed_by_who_has_it_alone_and_added_under_a_name_nobody_has()
    {
        Joining ada = Joining("Ada", "ada@example.org", "Hill");
        await Store.Book.JoinAsync(ada, Stop);
        Place higher = ada.Place! with { Site = ada.Place.Site with { ElevationM = 99 } };
        Assert.True(await Store.Book.KeepPlaceAsync(ada.Grower, higher, isNew: false, Stop));
        Assert.Equal(99, Assert.Single(await Store.Book.LoadPlacesAsync(Stop)).Site.ElevationM);

        Grower bo = Joining("Bo", "bo@example.org", "hill").Grower;
        Assert.Equal(JoinOutcome.Joined, await Store.Book.JoinAsync(new Joining(bo, null, [], null), Stop));
        Assert.False(await Store.Book.KeepPlaceAsync(ada.Grower with { Zone = DateTimeZone.Utc }, ada.Place, isNew: false, Stop));
        Assert.False(await Store.Book.KeepPlaceAsync(bo with { Places = ["hill", "HILL"] }, ada.Place with { Name = "HILL" }, isNew: true, Stop));
        Assert.Equal(99, Assert.Single(await Store.Book.LoadPlacesAsync(Stop)).Site.ElevationM);
        Assert.Equal(Berlin, (await Store.Book.FindGrowerAsync("Ada", Stop))!.Zone);

        Assert.True(await Store.Book.KeepPlaceAsync(bo with { Places = ["hill", "Brook"] }, ada.Place with { Name = "Brook" }, isNew: true, Stop));
        Assert.Equal(["hill", "Brook"], (await Store.Book.FindGrowerAsync("Bo", Stop))!.Places);
    }

    private static Joining Joining(string name, string address, string place) => new(
        new Grower(name, address, Berlin, new LocalTime(6, 30), UnitSystem.Metric, [place]),
        new Place(place, new Site { LatitudeDeg = 47, LongitudeDeg = 8, ElevationM = 400 }, Berlin),
        [new GrowerChannel("mail", GrowerChannelKinds.Mail, address, true, true)],
        new Person(address, "de", null, null));
}
