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
}
