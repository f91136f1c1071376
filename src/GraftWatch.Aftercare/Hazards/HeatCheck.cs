using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Response;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Aftercare.Hazards;

/// <summary>Heat of the living layer: hours a day above the levels, and the day's heat dose, whichever is worse.</summary>
/// <remarks>Apple callus is held back above 32 °C and dies at 40 °C [Shippy1930]; doses add up over hours [Faber2024].</remarks>
internal static class HeatCheck
{
    /// <summary>Judges the days ahead.</summary>
    internal static HazardOutcome Judge(UnionCase union, ThresholdSet thresholds)
    {
        Subject subject = union.Subject;
        double[] cambiumC = union.Hours.CambiumC;
        HeatTissue tissue = union.Stage >= Stage.Ripen ? HeatTissue.Woody : HeatTissue.Soft;
        Levels doses = thresholds.Levels("heat.dose", subject);
        var needed = new HoursNeeded(
            thresholds.Number("heat.hours.note", subject), thresholds.Number("heat.hours.act", subject), thresholds.Number("heat.hours.urgent", subject));
        var frame = new HazardOutcome
        {
            Hazard = Hazard.Heat,
            Quantity = "cambium temperature",
            Unit = "°C",
            Direction = LevelDirection.Rising,
            Levels = thresholds.Levels("heat.cambium", subject),
        };
        Level Dose(HourRun day) => doses.Of(HeatDose.OfHours(cambiumC.AsSpan(day.From, day.Length), tissue), LevelDirection.Rising);
        return HourlyJudgement.Of(
            frame,
            union.Climate,
            cambiumC,
            byNight: false,
            needed,
            hour => union.Climate.WhyMissing(hour, WeatherQuantity.AirC, WeatherQuantity.GlobalWPerM2, WeatherQuantity.WindMPerS, WeatherQuantity.HumidityPct),
            Dose);
    }
}
