using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Aftercare.Hazards;

/// <summary>Steam under a closed moist cover once buds push, and rain behind film on young unions.</summary>
internal static class WetCheck
{
    /// <summary>Judges the days ahead; null where nothing holds water.</summary>
    internal static HazardOutcome? Judge(UnionCase union, ThresholdSet thresholds)
    {
        if (!union.CoverWet)
        {
            return null;
        }

        bool leaves = union.Stage >= Stage.Push || union.InLeaf;
        return leaves && !union.Exposure.Vented ? Steam(union, thresholds) : union.Stage <= Stage.Knit ? Rain(union, thresholds) : null;
    }

    private static HazardOutcome Steam(UnionCase union, ThresholdSet thresholds)
    {
        var frame = new HazardOutcome
        {
            Hazard = Hazard.Wet,
            Quantity = "temperature inside the cover",
            Unit = "°C",
            Direction = LevelDirection.Rising,
            Levels = thresholds.Levels("wet.steam", union.Subject),
            Part = "steam",
        };
        // The stem's mean around stands for the inside in closed hours and open ones alike, so that what venting gains is not the sun on one side.
        return HourlyJudgement.Of(
            frame,
            union.Climate,
            union.Hours.MeanStemC,
            byNight: false,
            new HoursNeeded(2, 2, 1),
            hour => union.Climate.WhyMissing(hour, WeatherQuantity.AirC, WeatherQuantity.GlobalWPerM2, WeatherQuantity.WindMPerS));
    }

    private static HazardOutcome Rain(UnionCase union, ThresholdSet thresholds)
    {
        ReadOnlySpan<double> rain = union.Climate.Weather[WeatherQuantity.PrecipitationMm];
        var day = new double[rain.Length];
        for (int i = 0; i < day.Length; i++)
        {
            for (int k = Math.Max(0, i - 23); k <= i; k++)
            {
                day[i] += rain[k];
            }
        }

        var frame = new HazardOutcome
        {
            Hazard = Hazard.Wet,
            Quantity = "rain in 24 hours",
            Unit = "mm",
            Direction = LevelDirection.Rising,
            Levels = thresholds.Levels("wet.rain", union.Subject),
            Part = "rain",
        };
        return HourlyJudgement.Of(
            frame, union.Climate, day, byNight: false, HoursNeeded.One, hour => union.Climate.WhyMissing(hour, WeatherQuantity.PrecipitationMm));
    }
}
