using CsCheck;
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

    [Fact]
    public void Two_hundred_places_from_pole_to_pole_agree_with_an_astronomy_library()
    {
        foreach (VectorRow row in VectorFile.Load("Solar/sun-cross-check.csv").Rows)
        {
            SunPosition sun = SunPosition.At(Instant.FromUnixTimeSeconds((long)row["unixS"]), row["latitudeDeg"], row["longitudeDeg"]);
            (double sinZenith, double cosZenith) = Math.SinCos(sun.ZenithDeg * Math.PI / 180);
            (double sinAzimuth, double cosAzimuth) = Math.SinCos(sun.AzimuthDeg * Math.PI / 180);
            row.Check("east", sinZenith * sinAzimuth);
            row.Check("north", sinZenith * cosAzimuth);
            row.Check("up", cosZenith);
            Assert.InRange(sun.AzimuthDeg, 0, 360);
        }
    }

    [Fact]
    public void Fifty_sunrises_agree_with_an_astronomy_library()
    {
        foreach (VectorRow row in VectorFile.Load("Solar/rise-cross-check.csv").Rows)
        {
            LocalDate date = LocalDatePattern.Iso.Parse(row.Word("case")).Value;
            SunTimes times = SunTimes.Of(date, row["latitudeDeg"], row["longitudeDeg"]);
            Instant midnight = date.AtMidnight().InUtc().ToInstant() - Duration.FromSeconds(row["longitudeDeg"] * 240);
            row.Check("riseS", (times.Sunrise!.Value - midnight).TotalSeconds);
            row.Check("setS", (times.Sunset!.Value - midnight).TotalSeconds);
        }
    }

    [Fact]
    public void The_sky_of_one_hemisphere_is_the_mirror_of_the_other_half_a_year_apart() =>
        Gen.Select(Gen.Double[0, 90], Gen.Double[-180, 180], Gen.Int[0, 364 * 24]).Sample((latitudeDeg, longitudeDeg, hour) =>
        {
            Instant at = Instant.FromUtc(2025, 1, 1, 0, 0) + Duration.FromHours(hour);
            SunPosition north = SunPosition.At(at, latitudeDeg, longitudeDeg);
            if (Math.Abs(north.DeclinationDeg) > 23.4)
            {
                // Within days of a solstice no instant need have exactly the opposite declination.
                return;
            }

            Instant opposite = OppositeSeason(at, north.DeclinationDeg);

            // The longitude that gives the same hour angle at the other instant.
            double there = SunPosition.At(opposite, 0, 0).HourAngleDeg;
            SunPosition south = SunPosition.At(opposite, -latitudeDeg, north.HourAngleDeg - there);
            double sinZenith = Math.Sin(north.ZenithDeg * Math.PI / 180);
            Assert.Equal(north.ZenithDeg, south.ZenithDeg, 1e-4);
            Assert.Equal(0, sinZenith * Math.Sin((north.AzimuthDeg + south.AzimuthDeg - 180) * Math.PI / 180), 1e-5);
        });

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

    /// <summary>An instant within a year whose declination is the opposite.</summary>
    private static Instant OppositeSeason(Instant at, double declinationDeg)
    {
        double Sum(Instant t) => SunPosition.At(t, 0, 0).DeclinationDeg + declinationDeg;
        Instant low = at;
        while (Math.Sign(Sum(low)) == Math.Sign(Sum(low + Duration.FromDays(5))))
        {
            low += Duration.FromDays(5);
        }

        Instant high = low + Duration.FromDays(5);
        for (int i = 0; i < 60; i++)
        {
            Instant middle = low + ((high - low) / 2);
            (low, high) = Math.Sign(Sum(middle)) == Math.Sign(Sum(low)) ? (middle, high) : (low, middle);
        }

        return low;
    }

    [Fact]
    public void A_place_that_is_not_a_number_gives_no_position()
    {
        SunPosition sun = SunPosition.At(Instant.FromUtc(2025, 5, 1, 9, 0), double.NaN, 0);
        Assert.True(double.IsNaN(sun.ZenithDeg));
        Assert.True(double.IsNaN(sun.AzimuthDeg));
    }
}
