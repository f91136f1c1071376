using GraftWatch.Pages.People;
using GraftWatch.Testing;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class ZoneGuessTests
{
    private static readonly Instant Now = Instant.FromUtc(2026, 5, 12, 3, 0);

    // Positions of towns: from memory, to a hundredth of a degree. Their zones: IANA zone.tab, by the country or state the town lies in.
    [Theory]
    [InlineData("Freiburg", 47.99, 7.85, "Europe/Berlin")]
    [InlineData("Ravensburg", 47.78, 9.61, "Europe/Berlin")]
    [InlineData("Stuttgart", 48.78, 9.18, "Europe/Berlin")]
    [InlineData("Munich", 48.14, 11.58, "Europe/Berlin")]
    [InlineData("Nuremberg", 49.45, 11.08, "Europe/Berlin")]
    [InlineData("Cologne", 50.94, 6.96, "Europe/Berlin")]
    [InlineData("Hamburg", 53.55, 9.99, "Europe/Berlin")]
    [InlineData("Dresden", 51.05, 13.74, "Europe/Berlin")]
    [InlineData("Zurich", 47.37, 8.54, "Europe/Zurich")]
    [InlineData("Winterthur", 47.50, 8.72, "Europe/Zurich")]
    [InlineData("Bern", 46.95, 7.45, "Europe/Zurich")]
    [InlineData("Chur", 46.85, 9.53, "Europe/Zurich")]
    [InlineData("Graz", 47.07, 15.44, "Europe/Vienna")]
    [InlineData("Linz", 48.31, 14.29, "Europe/Vienna")]
    [InlineData("Bologna", 44.49, 11.34, "Europe/Rome")]
    [InlineData("Naples", 40.85, 14.27, "Europe/Rome")]
    [InlineData("Lyon", 45.76, 4.84, "Europe/Paris")]
    [InlineData("Brest", 48.39, -4.49, "Europe/Paris")]
    [InlineData("Toulouse", 43.60, 1.44, "Europe/Paris")]
    [InlineData("Barcelona", 41.39, 2.17, "Europe/Madrid")]
    [InlineData("Seville", 37.39, -5.99, "Europe/Madrid")]
    [InlineData("Cracow", 50.06, 19.94, "Europe/Warsaw")]
    [InlineData("Lodz", 51.76, 19.46, "Europe/Warsaw")]
    [InlineData("Brno", 49.20, 16.61, "Europe/Prague")]
    [InlineData("Aarhus", 56.16, 10.20, "Europe/Copenhagen")]
    [InlineData("Leeds", 53.80, -1.55, "Europe/London")]
    [InlineData("Edinburgh", 55.95, -3.19, "Europe/London")]
    [InlineData("Kecskemet", 46.91, 19.69, "Europe/Budapest")]
    [InlineData("Cork", 51.90, -8.47, "Europe/Dublin")]
    [InlineData("Isparta", 37.76, 30.55, "Europe/Istanbul")]
    [InlineData("Boston", 42.36, -71.06, "America/New_York")]
    [InlineData("Ithaca", 42.44, -76.50, "America/New_York")]
    [InlineData("Des Moines", 41.59, -93.62, "America/Chicago")]
    [InlineData("Yakima", 46.60, -120.51, "America/Los_Angeles")]
    [InlineData("Wenatchee", 47.42, -120.31, "America/Los_Angeles")]
    [InlineData("Melbourne", -37.81, 144.96, "Australia/Melbourne")]
    [InlineData("Hobart", -42.88, 147.33, "Australia/Hobart")]
    [InlineData("Nelson", -41.27, 173.28, "Pacific/Auckland")]
    [InlineData("Stellenbosch", -33.93, 18.86, "Africa/Johannesburg")]
    [InlineData("Nagano", 36.65, 138.18, "Asia/Tokyo")]
    [InlineData("Shimla", 31.10, 77.17, "Asia/Kolkata")]
    public void Well_inside_a_country_the_guess_is_its_zone_and_no_question_is_asked(string town, double latitudeDeg, double longitudeDeg, string zone) =>
        Assert.Equal((town, zone), (town, string.Join(", ", ZoneGuess.At(new Position(latitudeDeg, longitudeDeg), Now).Select(each => each.Id))));

    // Towns at a border between two zones of one clock: the guess may bear the neighbour's name, its hours are right.
    [Theory]
    [InlineData("Konstanz", 47.66, 9.18, "Europe/Berlin")]
    [InlineData("Passau", 48.57, 13.46, "Europe/Berlin")]
    [InlineData("Bolzano", 46.50, 11.35, "Europe/Rome")]
    [InlineData("Basel", 47.56, 7.59, "Europe/Zurich")]
    [InlineData("Salzburg", 47.80, 13.04, "Europe/Vienna")]
    [InlineData("Strasbourg", 48.58, 7.75, "Europe/Paris")]
    [InlineData("Aachen", 50.78, 6.08, "Europe/Berlin")]
    [InlineData("Malmo", 55.60, 13.00, "Europe/Stockholm")]
    public void At_a_border_within_one_clock_the_hours_are_right_whosever_name_they_bear(string town, double latitudeDeg, double longitudeDeg, string zone)
    {
        IReadOnlyList<DateTimeZone> possible = ZoneGuess.At(new Position(latitudeDeg, longitudeDeg), Now);
        Assert.True(possible.Count == 1 && ZoneGuess.KeepsTimeOf(possible[0], DateTimeZoneProviders.Tzdb[zone], Now), $"{town}: {string.Join(", ", possible.Select(each => each.Id))}");
    }

    // Towns within some kilometres of a border between two clocks; positions from memory.
    [Theory]
    [InlineData("Valença on the Minho", 42.03, -8.64, "Europe/Lisbon", "Europe/Madrid")]
    [InlineData("Brest on the Bug", 52.09, 23.69, "Europe/Minsk", "Europe/Warsaw")]
    [InlineData("Phenix City", 32.47, -85.00, "America/Chicago", "America/New_York")]
    [InlineData("Elvas", 38.88, -7.16, "Europe/Lisbon", "Europe/Madrid")]
    [InlineData("Badajoz", 38.88, -6.97, "Europe/Madrid", "Europe/Lisbon")]
    [InlineData("Campo Maior", 39.01, -7.07, "Europe/Lisbon", "Europe/Madrid")]
    [InlineData("Ayamonte", 37.21, -7.41, "Europe/Madrid", "Europe/Lisbon")]
    [InlineData("Tornio", 65.85, 24.15, "Europe/Helsinki", "Europe/Stockholm")]
    public void Near_a_border_both_clocks_are_named(string town, double latitudeDeg, double longitudeDeg, string here, string there)
    {
        IReadOnlyList<DateTimeZone> possible = ZoneGuess.At(new Position(latitudeDeg, longitudeDeg), Now);
        foreach (string zone in (string[])[here, there])
        {
            Assert.True(possible.Any(each => ZoneGuess.KeepsTimeOf(each, DateTimeZoneProviders.Tzdb[zone], Now)), $"{town}: {string.Join(", ", possible.Select(each => each.Id))}");
        }
    }

    [Fact]
    public void Zones_that_keep_one_time_are_one_clock()
    {
        Assert.True(ZoneGuess.KeepsTimeOf(DateTimeZoneProviders.Tzdb["Europe/Berlin"], DateTimeZoneProviders.Tzdb["Europe/Busingen"], Now));
        Assert.False(ZoneGuess.KeepsTimeOf(DateTimeZoneProviders.Tzdb["Europe/Berlin"], DateTimeZoneProviders.Tzdb["Africa/Tunis"], Now));
        Assert.False(ZoneGuess.KeepsTimeOf(DateTimeZoneProviders.Tzdb["America/Denver"], DateTimeZoneProviders.Tzdb["America/Phoenix"], Now));
    }

    [Fact]
    public void Every_town_of_the_list_has_a_zone_that_is_known_and_a_position_on_the_earth()
    {
        string[][] towns = [.. File.ReadAllLines(Repository.PathOf("src", "GraftWatch", "Pages", "People", "zone-towns.txt")).Where(line => !line.StartsWith('#')).Select(line => line.Split('\t'))];
        Assert.Equal(734, towns.Length);
        Assert.All(towns, town =>
        {
            Assert.Equal(4, town.Length);
            Assert.NotNull(DateTimeZoneProviders.Tzdb.GetZoneOrNull(town[0]));
            Assert.InRange(double.Parse(town[1], System.Globalization.CultureInfo.InvariantCulture), -90, 90);
            Assert.InRange(double.Parse(town[2], System.Globalization.CultureInfo.InvariantCulture), -180, 180);
        });
    }

    [Fact]
    public async Task A_place_near_a_border_asks_for_its_clock_once_and_the_device_answers_where_it_says_its_own()
    {
        (string, string)[] place = [("place", "Minho"), ("where", "42.03, -8.64"), ("elevation", "20"), ("shelter", "open"), ("zone", string.Empty)];
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser browser = await SubscribeTests.SubscribedAsync(site, "jonas@hollowfield.example");
        Shown asked = await browser.PressAsync("/you/place", "/you/place", place);
        Assert.Contains("clocks are possible here", asked.Plain, StringComparison.Ordinal);
        Assert.Contains("Europe/Lisbon (02:00 now)", asked.Plain, StringComparison.Ordinal);
        Assert.Contains("Europe/Madrid (03:00 now)", asked.Plain, StringComparison.Ordinal);
        Assert.Matches("name=\"zone\" value=\"Europe/(Lisbon|Madrid)\"", asked.Text);
        Assert.Equal("/you?said=kept", (await browser.PressAsync("/you/place", "/you/place", [.. place, ("device-zone", "Europe/Lisbon")])).LeadsTo);
        Assert.Contains(await site.Store.Book.LoadPlacesAsync(default), each => each is { Name: "Minho", Zone.Id: "Europe/Lisbon" });
    }
}
