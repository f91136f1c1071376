using GraftWatch.Microclimate.Solar;
using GraftWatch.Testing;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Microclimate.Tests.Solar;

public class SunPositionTests
{
    [Fact]
    public void The_worked_example_of_the_reference_algorithm_is_met_step_by_step()
    {
        foreach (VectorRow row in VectorFile.Load("Solar/spa-2003-10-17.csv").Rows)
        {
            Instant at = Instant.FromUnixTimeSeconds((long)row["unixS"]);
            SunPosition sun = SunPosition.At(at, row["latitudeDeg"], row["longitudeDeg"]);
            row.Check("julianDay", SunPosition.JulianDay(at));
            row.Check("zenithDeg", sun.ZenithDeg);
            row.Check("azimuthDeg", sun.AzimuthDeg);
            row.Check("declinationDeg", sun.DeclinationDeg);
            row.Check("equationMin", sun.EquationOfTimeMin);
            row.Check("distanceAu", sun.DistanceAu);
        }
    }

    [Fact]
    public void Ten_places_on_both_hemispheres_agree_with_the_reference_algorithm()
    {
        foreach (VectorRow row in VectorFile.Load("Solar/spa-rows.csv").Rows)
        {
            Instant at = InstantPattern.General.Parse(row.Word("case")).Value;
            SunPosition sun = SunPosition.At(at, row["latitudeDeg"], row["longitudeDeg"]);
            row.Check("zenithDeg", sun.ZenithDeg);
            row.Check("azimuthDeg", sun.AzimuthDeg);
            row.Check("equationMin", sun.EquationOfTimeMin);
            row.Check("topWPerM2", Sunlight.ExtraterrestrialNormalWPerM2(at.InUtc().DayOfYear));
        }
    }

    [Fact]
    public void Rise_and_set_agree_with_printed_tables_within_a_minute()
    {
        foreach (VectorRow row in VectorFile.Load("Solar/rise-set.csv").Rows)
        {
            LocalDate date = LocalDatePattern.Iso.Parse(row.Word("case")).Value;
            SunTimes times = SunTimes.Of(date, row["latitudeDeg"], row["longitudeDeg"]);
            Instant midnight = date.AtMidnight().WithOffset(Offset.FromHours((int)row["offsetH"])).ToInstant();
            row.Check("riseS", (times.Sunrise!.Value - midnight).TotalSeconds);
            row.Check("transitS", (times.Transit - midnight).TotalSeconds);
            row.Check("setS", (times.Sunset!.Value - midnight).TotalSeconds);
        }
    }

    [Theory]
    [InlineData(70, 182, true)]
    [InlineData(70, 1, false)]
    [InlineData(-70, 1, true)]
    [InlineData(90, 182, true)]
    [InlineData(-90, 182, false)]
    public void Beyond_the_polar_circles_the_sun_stays_up_or_down(double latitudeDeg, int dayOfYear, bool up)
    {
        LocalDate date = new LocalDate(2025, 1, 1).PlusDays(dayOfYear - 1);
        SunTimes times = SunTimes.Of(date, latitudeDeg, 20);
        Assert.Null(times.Sunrise);
        Assert.Null(times.Sunset);
        Assert.Equal(up, times.AlwaysUp);
    }

    [Fact]
    public void At_the_pole_the_zenith_is_the_complement_of_the_declination()
    {
        SunPosition sun = SunPosition.At(Instant.FromUtc(2025, 5, 1, 9, 0), 90, 0);
        // Apart from the parallax of at most 0.0025°.
        Assert.Equal(90 - sun.DeclinationDeg, sun.ZenithDeg, 0.0025);
        SunPosition south = SunPosition.At(Instant.FromUtc(2025, 5, 1, 9, 0), -90, 0);
        Assert.Equal(90 + south.DeclinationDeg, south.ZenithDeg, 0.0025);
    }

    [Fact]
    public void A_place_that_is_not_a_number_gives_no_position()
    {
        SunPosition sun = SunPosition.At(Instant.FromUtc(2025, 5, 1, 9, 0), double.NaN, 0);
        Assert.True(double.IsNaN(sun.ZenithDeg));
        Assert.True(double.IsNaN(sun.AzimuthDeg));
    }
}
