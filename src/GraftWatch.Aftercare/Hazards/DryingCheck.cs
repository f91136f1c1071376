using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Humidity;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Aftercare.Hazards;

/// <summary>Drying air: the mean vapour pressure deficit from 10 to 18 o'clock against what a graft in this state bears.</summary>
/// <remarks>
/// Before the union has joined, the deficit is taken at the union's own temperature, less what closed covers hold back; young
/// shoots meet the air's. Healing-chamber figures set the order of the levels; the numbers are common practice, no source.
/// </remarks>
internal static class DryingCheck
{
    /// <summary>Seals that pass less than this count as sealed. [-]</summary>
    private const double SealedBelowFrac = 0.25;

    /// <summary>Local hours of the daytime mean. [h]</summary>
    private const int DayFrom = 10;

    private const int DayTo = 18;

    /// <summary>Judges the days ahead.</summary>
    internal static HazardOutcome Judge(UnionCase union, ThresholdSet thresholds)
    {
        Subject subject = union.Subject;
        (string state, string quantity) = StateOf(union);
        bool atShoot = state == "shoot";
        double[] hourly = atShoot ? AirDeficit(union.Climate) : AtUnion(union);
        double windFrom = thresholds.Number("drying.wind.from", subject);
        double windGain = thresholds.Number("drying.wind.gain", subject);
        double[] daily = DaytimeMeans(union, hourly, windFrom, windGain);
        var frame = new HazardOutcome
        {
            Hazard = Hazard.Drying,
            Quantity = quantity,
            Unit = "kPa",
            Direction = LevelDirection.Rising,
            Levels = thresholds.Levels("drying." + state, subject),
            Part = state,
        };
        return HourlyJudgement.Of(
            frame,
            union.Climate,
            daily,
            byNight: false,
            HoursNeeded.One,
            hour => union.Climate.WhyMissing(hour, WeatherQuantity.AirC, WeatherQuantity.HumidityPct, WeatherQuantity.WindMPerS, WeatherQuantity.GlobalWPerM2));
    }

    private static (string State, string Quantity) StateOf(UnionCase union)
    {
        // An approach-grafted scion drinks from its own roots; only its bound cut faces can dry.
        if (union.Technique == Technique.Approach && union.Stage < Stage.Run)
        {
            return ("sealed", "daytime dryness at the bound union");
        }

        // A bud without a shoot has nothing out in the air, whatever the stock's leaves do.
        bool sprouted = !union.Technique.IsBud() || union.ShootM > 0;
        if (sprouted && (union.Stage >= Stage.Run || (union.InLeaf && union.Stage >= Stage.Push)))
        {
            return ("shoot", "daytime dryness of the air at the shoot");
        }

        if (union.InLeaf && !union.Technique.IsBud())
        {
            return ("leafy", "daytime dryness at the leafy graft");
        }

        return union.Technique.IsBud() ? ("bud", "daytime dryness at the bud")
            : union.SealPassFrac <= SealedBelowFrac ? ("sealed", "daytime dryness at the sealed union")
            : ("unsealed", "daytime dryness at the unsealed union");
    }

    private static double[] AtUnion(UnionCase union)
    {
        double pass = union.VapourPassFrac;
        return Array.ConvertAll(union.Hours.VpdKPa, deficit => deficit * pass);
    }

    private static double[] AirDeficit(PlaceClimate climate)
    {
        var deficit = new double[climate.Hours];
        for (int i = 0; i < deficit.Length; i++)
        {
            deficit[i] = Math.Max(0, Humidity.SaturationKPa(climate.Sky.AirC[i]) - climate.Sky.VapourPressureKPa[i]);
        }

        return deficit;
    }

    // The day's mean stands in each of its daytime hours; hours outside them read as no dryness.
    private static double[] DaytimeMeans(UnionCase union, double[] hourly, double windFrom, double windGain)
    {
        PlaceClimate climate = union.Climate;
        var result = new double[hourly.Length];
        foreach (HourRun day in Windows.Of(climate.Calendar.Day, 0))
        {
            double sum = 0;
            double wind = 0;
            int count = 0;
            for (int i = day.From; i <= day.To; i++)
            {
                if (IsDaytime(climate.Calendar.LocalHour[i]))
                {
                    sum += hourly[i];
                    wind += union.Hours.WindMPerS[i];
                    count++;
                }
            }

            double gain = double.IsNaN(wind) ? double.NaN : wind / count >= windFrom ? windGain : 1;
            double mean = sum / count * gain;
            for (int i = day.From; i <= day.To; i++)
            {
                result[i] = IsDaytime(climate.Calendar.LocalHour[i]) ? mean : 0;
            }
        }

        return result;
    }

    private static bool IsDaytime(int localHour) => localHour is >= DayFrom and < DayTo;
}
