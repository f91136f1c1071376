using System.Globalization;
using GraftWatch.Forecasts.MetNorway;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Forecasts.Station;
using GraftWatch.Forecasts.UsWeatherService;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.Tests;

/// <summary>Cultures shaped by hand like de-DE, tr-TR and sv-SE, for the tests run without culture data.</summary>
public sealed class CultureTests
{
    [Theory]
    [InlineData(".", ",", "-", ":", "/")]
    [InlineData(",", ".", "-", ":", ".")]
    [InlineData(",", "\u00A0", "\u2212", ".", "-")]
    public void Every_parser_reads_the_same_whatever_the_culture(string point, string group, string minus, string timeSeparator, string dateSeparator)
    {
        var culture = (CultureInfo)CultureInfo.InvariantCulture.Clone();
        culture.NumberFormat.NumberDecimalSeparator = point;
        culture.NumberFormat.NumberGroupSeparator = group;
        culture.NumberFormat.NegativeSign = minus;
        culture.DateTimeFormat.TimeSeparator = timeSeparator;
        culture.DateTimeFormat.DateSeparator = dateSeparator;
        CultureInfo before = CultureInfo.CurrentCulture;
        CultureInfo.CurrentCulture = culture;
        try
        {
            Instant now = Instant.FromUtc(2026, 4, 22, 4, 0);
            Assert.Equal(-0.8, SavedReply.Parse(Sample.Bytes("open-frost-morning.json"), "r", now).Locations[0].Weather![WeatherQuantity.AirC][3]);
            Assert.Equal(-0.4, MetNorwayReply.Parse(Sample.Bytes("met-norway-frost-morning.json"), "r", now).Weather![WeatherQuantity.AirC][0]);
            Assert.Equal(-2.2222222222222223, UsGridReply.Parse(Sample.Bytes("us-grid-frost-morning.json"), "r", now).Weather![WeatherQuantity.AirC][0]);
            StationText.Result station = StationText.Parse("time,air_c\n2026-04-22T02:00Z,-1.5\n", "s", DateTimeZone.Utc);
            Assert.Equal(-1.5, station.Readings.ToHours(now - Duration.FromHours(2), now)![WeatherQuantity.AirC][0]);
            Assert.Equal(
                "Global radiation is impossible in one hour (-500000 at 2026-04-22 07:00 UTC) and counts as missing there.",
                SavedReply.Parse(Sample.Bytes("open-nulls-and-undefined.json"), "r", now).Locations[0].Gaps[3]);
        }
        finally
        {
            CultureInfo.CurrentCulture = before;
        }
    }
}
