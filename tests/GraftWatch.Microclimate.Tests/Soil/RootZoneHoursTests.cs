using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Soil;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Microclimate.Tests.Soil;

public class RootZoneHoursTests
{
    private const int Hours = 10 * 24;
    private static readonly Instant First = Instant.FromUtc(2030, 4, 1, 1, 0);
    private static readonly Site Orchard = new() { LatitudeDeg = 50, LongitudeDeg = 8, ElevationM = 200 };

    [Fact]
    public void With_rain_the_water_is_balanced_and_every_array_is_filled()
    {
        RootZoneHours zone = Compute(Weather());
        Assert.Equal(WaterBasis.Balanced, zone.Water);
        Assert.Equal(0, zone.BridgedHours);
        Assert.Equal(0, zone.HoursOfSourceEt);
        foreach (double[] column in new[] { zone.Et0MmPerHour, zone.EtDayMm, zone.SoilC, zone.WaterFrac, zone.RainThreeDaysMm })
        {
            Assert.Equal(Hours, column.Length);
            Assert.All(column, value => Assert.True(double.IsFinite(value)));
        }

        Assert.All(zone.WaterFrac, share => Assert.InRange(share, 0, 1));
        Assert.All(zone.EtDayMm, mm => Assert.InRange(mm, 1, 6));
        Assert.Equal(zone.Et0MmPerHour[100..124].Sum(), zone.EtDayMm[123], 1e-9);
        Assert.Equal(zone.EtDayMm[23], zone.EtDayMm[0]);
        Assert.Equal(5, zone.RainThreeDaysMm[100 + 71], 1e-9);
        Assert.Equal(0, zone.RainThreeDaysMm[100 + 72], 1e-9);
    }

    [Fact]
    public void Without_rain_water_and_sap_are_unknown()
    {
        RootZoneHours zone = Compute(Weather(rain: false));
        Assert.Equal(WaterBasis.Unknown, zone.Water);
        Assert.All(zone.WaterFrac, share => Assert.True(double.IsNaN(share)));
        Assert.All(Sap(zone), index => Assert.True(double.IsNaN(index)));
        Assert.All(zone.Et0MmPerHour, mm => Assert.True(double.IsFinite(mm)));
    }

    [Fact]
    public void Without_rain_a_stated_assumption_is_used_and_reported()
    {
        RootZoneHours zone = Compute(Weather(rain: false), new RootZone { AssumeWateredFrac = 0.7 });
        Assert.Equal(WaterBasis.Assumed, zone.Water);
        Assert.All(zone.WaterFrac, share => Assert.Equal(0.7, share, 1e-12));
        double[] sap = Sap(zone);
        Assert.All(sap, index => Assert.True(double.IsFinite(index)));
        Assert.Equal(SapIndex.Value(zone.SoilC[99], 0.7, 0, zone.EtDayMm[99], 0.3, 1), sap[99], 1e-12);
    }

    [Fact]
    public void A_missing_radiation_hour_is_a_gap_in_evapotranspiration_but_bridged_in_the_balance()
    {
        RootZoneHours whole = Compute(Weather());
        RootZoneHours holed = Compute(Weather(missingSun: 130));
        Assert.True(double.IsNaN(holed.Et0MmPerHour[130]));
        Assert.Equal(whole.EtDayMm[140], holed.EtDayMm[140], 0.05);
        Assert.Equal(1, holed.BridgedHours);
        Assert.Equal(WaterBasis.Balanced, holed.Water);
        Assert.Equal(whole.WaterFrac[^1], holed.WaterFrac[^1], 0.01);
    }

    [Fact]
    public void A_long_gap_of_radiation_is_not_bridged()
    {
        RootZoneHours holed = Compute(Weather(missingSun: 128, missingSunHours: 7));
        Assert.True(double.IsNaN(holed.EtDayMm[140]) && double.IsFinite(holed.EtDayMm[160]));
        Assert.True(double.IsNaN(holed.WaterFrac[140]));
        Assert.Equal(WaterBasis.Unknown, holed.Water);
    }

    [Fact]
    public void A_long_gap_of_rain_makes_what_follows_unknown_or_assumed()
    {
        HourlyWeather gap = Weather(rainGapFrom: 120, rainGapHours: 7);
        RootZoneHours unknown = Compute(gap);
        Assert.Equal(WaterBasis.Unknown, unknown.Water);
        Assert.True(double.IsFinite(unknown.WaterFrac[119]) && double.IsNaN(unknown.WaterFrac[120]) && double.IsNaN(unknown.WaterFrac[^1]));
        RootZoneHours assumed = Compute(gap, new RootZone { AssumeWateredFrac = 0.5 });
        Assert.Equal(WaterBasis.Assumed, assumed.Water);
        Assert.Equal(0.5, assumed.WaterFrac[126], 1e-12);
        Assert.InRange(assumed.WaterFrac[^1], 0.3, 0.5);
        RootZoneHours shorter = Compute(Weather(rainGapFrom: 120, rainGapHours: 6));
        Assert.Equal((WaterBasis.Balanced, 6), (shorter.Water, shorter.BridgedHours));
    }

    [Fact]
    public void Where_the_inputs_are_missing_the_source_s_own_evapotranspiration_serves()
    {
        RootZoneHours zone = Compute(Weather(sun: false, sourceEt: 0.1));
        Assert.Equal(Hours, zone.HoursOfSourceEt);
        Assert.All(zone.Et0MmPerHour, mm => Assert.Equal(0.1, mm));
        Assert.All(zone.EtDayMm, mm => Assert.Equal(2.4, mm, 1e-9));
        RootZoneHours nothing = Compute(Weather(sun: false));
        Assert.All(nothing.Et0MmPerHour, mm => Assert.True(double.IsNaN(mm)));
        Assert.Equal(WaterBasis.Unknown, nothing.Water);
        Assert.All(nothing.SoilC, t => Assert.True(double.IsFinite(t)));
    }

    [Fact]
    public void Soil_of_the_source_is_preferred()
    {
        RootZoneHours zone = Compute(Weather(soilC: 11));
        Assert.All(zone.SoilC, t => Assert.Equal(11, t, 1e-12));
        Assert.All(zone.SoilFrom, from => Assert.Equal(SoilTemperatureOrigin.FromSoil, from));
        Assert.All(Compute(Weather()).SoilFrom, from => Assert.Equal(SoilTemperatureOrigin.FromAir, from));
    }

    [Fact]
    public void Both_standards_can_be_asked_for_and_differ()
    {
        double asce = Compute(Weather()).Et0MmPerHour.Sum();
        double fao = Compute(Weather(), new RootZone { Method = ReferenceMethod.Fao56 }).Et0MmPerHour.Sum();
        Assert.InRange(fao / asce, 0.9, 0.999);
    }

    [Fact]
    public void Freezing_and_thawing_within_two_days_lift_the_sap_of_maple_and_walnut()
    {
        RootZoneHours zone = Compute(Weather());
        double[] stem = Enumerable.Range(0, Hours).Select(h => h is >= 100 and < 105 ? -3.0 : 4.0).ToArray();
        double[] plain = Sap(zone), lifted = new double[Hours], longNight = new double[Hours];
        SapIndex.Compute(zone, 0.3, 0.3, freezeThaw: true, stem, lifted);
        SapIndex.Compute(zone, 0.3, 0.3, freezeThaw: false, [], plain);
        for (int h = 0; h < Hours; h++)
        {
            // Frozen at 100, thawed at 105: both within 48 hours from 105 to 148.
            double extra = h is >= 105 and <= 148 ? SapIndex.FreezeThawExtra : 0;
            Assert.Equal(plain[h] + extra, lifted[h], 1e-12);
        }

        double[] staysFrozen = Enumerable.Range(0, Hours).Select(h => h is >= 100 and < 160 ? -3.0 : 4.0).ToArray();
        SapIndex.Compute(zone, 0.3, 0.3, freezeThaw: true, staysFrozen, longNight);
        Assert.Equal(plain, longNight);
        SapIndex.Compute(zone, 1, 0, freezeThaw: true, stem, lifted);
        Assert.All(lifted, index => Assert.InRange(index, 0, 1));
        Assert.Throws<ArgumentException>(() => SapIndex.Compute(zone, 1, 0, true, [], new double[Hours]));
        Assert.Throws<ArgumentException>(() => SapIndex.Compute(zone, 1, 0, false, [], new double[3]));
    }

    private static double[] Sap(RootZoneHours zone)
    {
        var sap = new double[Hours];
        SapIndex.Compute(zone, SapIndex.WeightOf(SapClass.Strong), 0.3, freezeThaw: false, [], sap);
        return sap;
    }

    private static RootZoneHours Compute(HourlyWeather weather, RootZone? zone = null) =>
        RootZoneHours.Compute(SkyHours.Compute(Orchard, weather), zone ?? new RootZone());

    private static HourlyWeather Weather(
        bool rain = true,
        bool sun = true,
        int missingSun = -1,
        int missingSunHours = 1,
        int rainGapFrom = -1,
        int rainGapHours = 0,
        double sourceEt = double.NaN,
        double soilC = double.NaN)
    {
        var builder = new HourlyWeather.Builder(First, Hours);
        for (int h = 0; h < Hours; h++)
        {
            double dayPhase = Math.Sin(((h % 24) - 6) * Math.PI / 12);
            builder.Set(WeatherQuantity.AirC, h, 10 + (6 * Math.Sin(((h % 24) - 9) * Math.PI / 12)), WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.HumidityPct, h, 65, WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.WindMPerS, h, 2.5, WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.GlobalWPerM2, h, sun && !(h >= missingSun && h < missingSun + missingSunHours && missingSun >= 0) ? 700 * Math.Max(dayPhase, 0) : double.NaN, WeatherOrigin.Forecast);
            bool rainKnown = rain && !(h >= rainGapFrom && h < rainGapFrom + rainGapHours);
            builder.Set(WeatherQuantity.PrecipitationMm, h, rainKnown ? (h == 100 ? 5 : 0) : double.NaN, WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.ReferenceEtMm, h, sourceEt, WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.SoilShallowC, h, soilC, WeatherOrigin.Forecast);
            builder.Set(WeatherQuantity.SoilDeepC, h, soilC, WeatherOrigin.Forecast);
        }

        return builder.Build();
    }
}
