using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Aftercare.Hazards;

/// <summary>Too cold to heal: the mean of a week below what the species needs. For knowledge, never work.</summary>
internal static class ColdStallCheck
{
    /// <summary>Judges the mean of the days around now; null outside the weeks in which it matters.</summary>
    internal static HazardOutcome? Judge(UnionCase union, ThresholdSet thresholds)
    {
        if (!union.CanStall)
        {
            return null;
        }

        int days = (int)thresholds.Number("cold_stall.when.days", union.Subject);
        double[] cambiumC = union.Hours.CambiumC;
        int from = union.Climate.FirstAhead;
        int to = Math.Min(cambiumC.Length, from + (days * 24));
        double sum = 0;
        int count = 0;
        for (int i = from; i < to; i++)
        {
            if (!double.IsNaN(cambiumC[i]))
            {
                sum += cambiumC[i];
                count++;
            }
        }

        double limit = union.Species.ColdStallC;
        double mean = count == 0 ? double.NaN : sum / count;
        bool enough = count >= days * 24 / 2;
        return new HazardOutcome
        {
            Hazard = Hazard.ColdStall,
            Quantity = "mean union temperature of the week ahead",
            Unit = "°C",
            Direction = LevelDirection.Falling,
            Levels = new Levels(limit, double.NegativeInfinity, double.NegativeInfinity),
            WorstValue = enough ? mean : double.NaN,
            WorstHour = enough ? from : -1,
            Spells = enough && mean < limit ? [new Spell(Level.Note, from, to - 1, from, mean)] : [],
            NotChecked = enough ? null : union.Climate.WhyMissing(from, WeatherQuantity.AirC, WeatherQuantity.GlobalWPerM2, WeatherQuantity.WindMPerS),
        };
    }
}
