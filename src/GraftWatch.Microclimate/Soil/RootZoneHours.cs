using GraftWatch.Microclimate.Unions;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Microclimate.Soil;

/// <summary>What all stocks of a place share below ground: reference evapotranspiration, soil temperature, soil water, recent rain.</summary>
/// <remarks>Arrays are per hour that ends at the stamp, length <see cref="Hours"/>; NaN where an input is missing.</remarks>
public sealed class RootZoneHours
{
    /// <summary>Hours in a row without rain or evapotranspiration that the water balance bridges. [h], engineering choice.</summary>
    public const int LongestBridgeHours = 6;

    private RootZoneHours(int hours, RootZone zone)
    {
        Zone = zone;
        Et0MmPerHour = new double[hours];
        EtDayMm = new double[hours];
        SoilC = new double[hours];
        SoilFrom = new SoilTemperatureOrigin[hours];
        WaterFrac = new double[hours];
        RainThreeDaysMm = new double[hours];
    }

    /// <summary>What was assumed of the root zone.</summary>
    public RootZone Zone { get; }

    /// <summary>Number of hours.</summary>
    public int Hours => Et0MmPerHour.Length;

    /// <summary>Reference evapotranspiration by <see cref="RootZone.Method"/>; slightly negative in nights with dew. [mm/h]</summary>
    public double[] Et0MmPerHour { get; }

    /// <summary>Hours whose evapotranspiration is the source's own, because what the standard needs was missing. [-]</summary>
    public int HoursOfSourceEt { get; private set; }

    /// <summary>Reference evapotranspiration of the 24 hours that end at the stamp, short gaps bridged; in the first day, of the first 24 hours. [mm]</summary>
    public double[] EtDayMm { get; }

    /// <summary>Root-zone temperature, 0 to 30 cm. [°C]</summary>
    public double[] SoilC { get; }

    /// <summary>Where each <see cref="SoilC"/> came from.</summary>
    public SoilTemperatureOrigin[] SoilFrom { get; }

    /// <summary>Available water left in the root zone, <c>1 - depletion/available</c>. [-], 0 to 1.</summary>
    public double[] WaterFrac { get; }

    /// <summary>Rain of the 72 hours that end at the stamp; in the first three days, of the hours known so far. [mm]</summary>
    public double[] RainThreeDaysMm { get; }

    /// <summary>What <see cref="WaterFrac"/> rests on; <see cref="WaterBasis.Assumed"/> as soon as one hour had to be assumed.</summary>
    public WaterBasis Water { get; private set; }

    /// <summary>Hours bridged for the balance and <see cref="EtDayMm"/>: missing rain as none, missing evapotranspiration as the day before. [-]</summary>
    public int BridgedHours { get; private set; }

    /// <summary>Computes a place's root zone once, for all its stocks.</summary>
    /// <param name="sky">The place's hours.</param>
    /// <param name="zone">What is known or assumed of the root zone.</param>
    /// <returns>Arrays of the same length as <paramref name="sky"/>.</returns>
    /// <remarks>[Allen1998] eq. 82 to 85 with [ASCE2005] or [Allen1998] hourly evapotranspiration. Wind at 10 m is brought to 2 m by [Allen1998] eq. 47.</remarks>
    public static RootZoneHours Compute(SkyHours sky, RootZone zone)
    {
        var hours = new RootZoneHours(sky.Hours, zone);
        HourlyWeather weather = sky.Weather;
        hours.FillEvapotranspiration(sky);
        SoilTemperature.Fill(
            weather[WeatherQuantity.SoilShallowC],
            weather[WeatherQuantity.SoilDeepC],
            sky.AirC,
            Array.Exists(sky.GlobalWPerM2, light => light > 0) ? sky.GlobalWPerM2 : [],
            hours.SoilC,
            hours.SoilFrom);
        ReadOnlySpan<double> rainMm = weather[WeatherQuantity.PrecipitationMm];
        RootZoneSteps.SumBefore(rainMm, 72, wholeWindow: false, hours.RainThreeDaysMm);
        hours.FillWater(rainMm, sky.Site.AvailableSoilWaterMm);
        return hours;
    }

    private void FillEvapotranspiration(SkyHours sky)
    {
        int n = sky.Hours;
        var windAt2MMPerS = new double[n];
        var solarMjPerM2 = new double[n];
        double toTwoMetres = ReferenceEt.WindAtTwoMetresMPerS(1, 10);
        for (int i = 0; i < n; i++)
        {
            windAt2MMPerS[i] = toTwoMetres * sky.WindMPerS[i];
            solarMjPerM2[i] = sky.GlobalWPerM2[i] * RootZoneSteps.MjPerWattHour;
        }

        var reference = new HourlyReference(sky.Site.LatitudeDeg, sky.Site.LongitudeDeg, sky.Site.ElevationM, Zone.Method);
        reference.Compute(sky.FirstHourEnd, sky.AirC, sky.VapourPressureKPa, windAt2MMPerS, solarMjPerM2, Et0MmPerHour);
        ReadOnlySpan<double> given = sky.Weather[WeatherQuantity.ReferenceEtMm];
        for (int i = 0; i < n; i++)
        {
            if (double.IsNaN(Et0MmPerHour[i]) && !double.IsNaN(given[i]))
            {
                Et0MmPerHour[i] = given[i];
                HoursOfSourceEt++;
            }
        }
    }

    private void FillWater(ReadOnlySpan<double> rainMm, double availableMm)
    {
        var filled = new double[Hours];
        BridgedHours = RootZoneSteps.Bridge(Et0MmPerHour, rainMm, filled, out double[] rainFilled);
        RootZoneSteps.SumBefore(filled, 24, wholeWindow: true, EtDayMm);
        double assumed = Zone.AssumeWateredFrac;
        var bucket = new WaterBucket(availableMm, Zone.EasyFrac);
        double depletionMm = (1 - Zone.StartWaterFrac) * availableMm;
        bool balanced = true;
        for (int i = 0; i < Hours; i++)
        {
            double useMm = Zone.CropFrac * filled[i];
            depletionMm = bucket.Step(depletionMm, useMm, 24 * RootZoneSteps.DailyMean(filled, i) * Zone.CropFrac, rainFilled[i]).DepletionMm;
            if (double.IsNaN(depletionMm))
            {
                balanced = false;
                depletionMm = (1 - assumed) * availableMm;
            }

            WaterFrac[i] = 1 - (depletionMm / availableMm);
        }

        Water = balanced ? WaterBasis.Balanced : double.IsNaN(assumed) ? WaterBasis.Unknown : WaterBasis.Assumed;
    }
}
