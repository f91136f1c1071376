using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Inputs;
using GraftWatch.Microclimate.Sites;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Inputs;

public sealed class PlaceMatchingTests
{
    private static readonly Dictionary<string, Place> Nothing = [];

    [Fact]
    public void One_location_serves_every_place_and_gives_coordinates_and_elevation()
    {
        PlaceMatchingResult result = PlaceMatching.Match(["home", "hill"], [Location(42.45, -72.68, 258)], Nothing, null, "w.json");
        Assert.Empty(result.Faults);
        Assert.Empty(result.Notes);
        Assert.All(result.Places, place => Assert.Equal((42.45, -72.68, 258.0), (place.Place.Site.LatitudeDeg, place.Place.Site.LongitudeDeg, place.Place.Site.ElevationM)));
        Assert.Equal(["home", "hill"], result.Places.Select(place => place.Place.Name));
    }

    [Fact]
    public void Several_locations_are_taken_in_order_of_first_appearance_and_that_is_said()
    {
        PlaceMatchingResult result = PlaceMatching.Match(["home", "hill"], [Location(42, -72), Location(43, -73, index: 1)], Nothing, null, "w.json");
        Assert.Equal([42.0, 43.0], result.Places.Select(place => place.Place.Site.LatitudeDeg));
        Assert.Contains("home = 42, -72; hill = 43, -73", Assert.Single(result.Notes), StringComparison.Ordinal);
    }

    [Fact]
    public void More_places_than_locations_is_a_fault()
    {
        PlaceMatchingResult result = PlaceMatching.Match(["a", "b", "c"], [Location(42, -72), Location(43, -73, index: 1)], Nothing, null, "w.json");
        Assert.Contains("3 places", Assert.Single(result.Faults), StringComparison.Ordinal);
    }

    [Fact]
    public void A_place_the_settings_almost_have_is_a_fault_that_names_it()
    {
        var known = new Dictionary<string, Place> { ["North slope"] = new("North slope", new Site { LatitudeDeg = 42, LongitudeDeg = -72, ElevationM = 12 }, DateTimeZone.Utc) };
        PlaceMatchingResult result = PlaceMatching.Match(["Nort slope"], [Location(42, -72)], known, null, "w.json");
        Assert.Contains("Nearest known: North slope.", Assert.Single(result.Faults), StringComparison.Ordinal);
        Assert.Empty(PlaceMatching.Match(["Walled garden"], [Location(42, -72)], known, null, "w.json").Faults);
    }

    [Fact]
    public void A_configured_place_keeps_its_own_coordinates_and_takes_the_nearest_location()
    {
        var site = new Site { LatitudeDeg = 43.1, LongitudeDeg = -73.1, ElevationM = 12 };
        var home = new Place("home", site, DateTimeZoneProviders.Tzdb["America/New_York"]);
        PlaceMatchingResult result = PlaceMatching.Match(["home"], [Location(42, -72), Location(43, -73, index: 1)], new Dictionary<string, Place> { ["home"] = home }, null, "w.json");
        MatchedPlace matched = Assert.Single(result.Places);
        Assert.Equal(home, matched.Place);
        Assert.Equal(1, matched.Location.Index);
    }

    [Theory]
    [InlineData("Europe/Berlin", "Europe/Berlin", false)]
    [InlineData("GMT", "UTC-05", true)]
    [InlineData(null, "UTC-05", true)]
    [InlineData("Mars/Olympus", "UTC-05", true)]
    public void A_zone_that_nobody_said_follows_from_the_longitude_and_is_listed_as_assumed(string? replyZone, string expected, bool assumed)
    {
        PlaceMatchingResult result = PlaceMatching.Match(["home"], [Location(42, -72.68, zone: replyZone)], Nothing, null, "w.json");
        Place place = Assert.Single(result.Places).Place;
        Assert.Equal(expected, place.Zone.Id);
        Assert.Equal(assumed, place.Assumed.Any(sentence => sentence.StartsWith("zone:", StringComparison.Ordinal)));
    }

    [Fact]
    public void A_zone_the_user_names_wins_over_all()
    {
        PlaceMatchingResult result = PlaceMatching.Match(["home"], [Location(42, -72, zone: "Europe/Berlin")], Nothing, DateTimeZoneProviders.Tzdb["America/New_York"], "w.json");
        Assert.Equal("America/New_York", Assert.Single(result.Places).Place.Zone.Id);
    }

    private static ReplyLocation Location(double latitudeDeg, double longitudeDeg, double? elevationM = 10, string? zone = "GMT", int index = 0) => new()
    {
        Index = index,
        LatitudeDeg = latitudeDeg,
        LongitudeDeg = longitudeDeg,
        ElevationM = elevationM,
        TimeZone = zone,
    };
}
