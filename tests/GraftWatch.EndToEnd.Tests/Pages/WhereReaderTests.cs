using GraftWatch.Pages.People;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class WhereReaderTests
{
    [Theory]
    // RFC 5870, 3.3 and 6.1-6.3: the examples of the standard.
    [InlineData("geo:13.4125,103.8667", 13.4125, 103.8667)]
    [InlineData("geo:48.2010,16.3695,183", 48.2010, 16.3695)]
    [InlineData("geo:48.198634,16.371648;crs=wgs84;u=40", 48.198634, 16.371648)]
    [InlineData("geo:90,-22.43;crs=WGS84", 90, -22.43)]
    [InlineData("geo:66,30;u=6.500;FOo=this%2dthat", 66, 30)]
    // Typed.
    [InlineData("48.0213, 9.0637", 48.0213, 9.0637)]
    [InlineData("  -33.5 151.2 ", -33.5, 151.2)]
    [InlineData("48,0213; 9,0637", 48.0213, 9.0637)]
    [InlineData("(48.02;-9.06)", 48.02, -9.06)]
    [InlineData("−48.02, −9.06", -48.02, -9.06)]
    // Degrees, minutes, seconds: 48°12'4"N = 48 + 12/60 + 4/3600.
    [InlineData("48°12'4\"N 16°22'10\"E", 48.201111, 16.369444)]
    [InlineData("48° 12.066′ N, 16° 22.17′ E", 48.2011, 16.3695)]
    [InlineData("N 48.201° W 16.3695°", 48.201, -16.3695)]
    [InlineData("33°52′S 151°12′E", -33.866667, 151.2)]
    [InlineData("48.2N 16.4E", 48.2, 16.4)]
    // Links of maps, as they are commonly built.
    [InlineData("https://map.example.org/#map=15/48.0213/9.0637", 48.0213, 9.0637)]
    [InlineData("https://maps.example.com/place/Some+Farm/@48.0213,9.0637,17z/data=x", 48.0213, 9.0637)]
    [InlineData("https://map.example.org/?mlat=48.0213&mlon=9.0637#map=12/1.00/2.00", 48.0213, 9.0637)]
    [InlineData("https://maps.example.net/?ll=48.0213%2C9.0637&z=12", 48.0213, 9.0637)]
    [InlineData("https://www.example.org/?lng=9.0637&lat=48.0213&zoom=9", 48.0213, 9.0637)]
    public void A_position_is_found(string typed, double latitudeDeg, double longitudeDeg)
    {
        Position found = WhereReader.Read(typed)!;
        Assert.NotNull(found);
        Assert.Equal(latitudeDeg, found.LatitudeDeg, 6);
        Assert.Equal(longitudeDeg, found.LongitudeDeg, 6);
    }

    [Fact]
    public void A_geo_uri_tells_the_height_too() => Assert.Equal(183, WhereReader.Read("geo:48.2010,16.3695,183")!.ElevationM);

    [Theory]
    [InlineData("")]
    [InlineData(null)]
    [InlineData("the hill behind the house")]
    [InlineData("geo:91,8")]
    [InlineData("geo:48.2,16.3;crs=Moon-2011")]
    [InlineData("48.02")]
    [InlineData("91.2, 8.1")]
    [InlineData("48°72'N 9°3'E")]
    [InlineData("Main Street 12, 47 Town")]
    [InlineData("https://example.org/a/12/15")]
    public void What_is_no_position_is_none(string? typed) => Assert.Null(WhereReader.Read(typed));

    [Fact]
    public void Long_nonsense_is_refused_at_once()
    {
        var watch = System.Diagnostics.Stopwatch.StartNew();
        Assert.Null(WhereReader.Read(new string('1', 2000) + "°"));
        Assert.Null(WhereReader.Read(string.Concat(Enumerable.Repeat("12' 3.4\" ", 220))));
        Assert.InRange(watch.ElapsedMilliseconds, 0, 1000);
    }
}
