using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Aftercare.Hazards;

/// <summary>Sun on leaves and bark that were covered until a few days ago. Common practice, no source.</summary>
internal static class SunCheck
{
    /// <summary>Judges the days ahead; null when nothing was bared lately.</summary>
    internal static HazardOutcome? Judge(UnionCase union, ThresholdSet thresholds)
    {
        if (!union.FreshlyBared)
        {
            return null;
        }

        Subject subject = union.Subject;
        double warmFromC = thresholds.Number("sun.when.air", subject);
        double hours = thresholds.Number("sun.when.hours", subject);
        UnionHours climate = union.Hours;
        double[] airC = union.Climate.Sky.AirC;
        double light = union.LightFrac;
        var patch = new double[airC.Length];
        for (int i = 0; i < patch.Length; i++)
        {
            double sun = light * (climate.BeamOnUnionWPerM2[i] + climate.DiffuseOnUnionWPerM2[i]);
            patch[i] = airC[i] < warmFromC ? 0 : airC[i] >= warmFromC ? sun : double.NaN;
        }

        var frame = new HazardOutcome
        {
            Hazard = Hazard.Sun,
            Quantity = "sunlight on fresh bark and leaves",
            Unit = "W/m²",
            Direction = LevelDirection.Rising,
            Levels = thresholds.Levels("sun.patch", subject),
        };
        return HourlyJudgement.Of(
            frame,
            union.Climate,
            patch,
            byNight: false,
            new HoursNeeded(hours, hours, hours),
            hour => union.Climate.WhyMissing(hour, WeatherQuantity.GlobalWPerM2, WeatherQuantity.AirC));
    }
}
