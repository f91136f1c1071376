using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Soil;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Aftercare.Hazards;

/// <summary>Sap pressure under a topped stock, until the union has knitted.</summary>
internal static class SapCheck
{
    /// <summary>Judges the days ahead; null for kinds that do not bleed and unions past the danger.</summary>
    internal static HazardOutcome? Judge(UnionCase union, ThresholdSet thresholds)
    {
        if (union.Species.Bleeding < BleedClass.Moderate || union.Stage > Stage.Knit)
        {
            return null;
        }

        double[] index = Index(union);
        var frame = new HazardOutcome
        {
            Hazard = Hazard.Sap,
            Quantity = "sap index",
            Unit = "-",
            Direction = LevelDirection.Rising,
            Levels = thresholds.Levels("sap.index", union.Subject),
        };
        return HourlyJudgement.Of(frame, union.Climate, index, byNight: false, new HoursNeeded(3, 3, 3), Why);

        string Why(int hour) => union.Climate.Weather.Has(WeatherQuantity.PrecipitationMm)
            ? union.Climate.WhyMissing(hour, WeatherQuantity.AirC, WeatherQuantity.HumidityPct, WeatherQuantity.WindMPerS, WeatherQuantity.GlobalWPerM2)
            : $"the source gave no rain for {union.Climate.Place.Name}, so soil water is unknown";
    }

    /// <summary>Sap index of each hour, less what relief cuts let out. [-]; NaN where soil water or stem temperature is unknown.</summary>
    internal static double[] Index(UnionCase union)
    {
        var index = new double[union.Climate.Hours];
        SapIndex.Compute(union.Climate.RootZone, union.Species.SapWeightFrac, union.StockLeafFrac, union.Species.FreezeThawSap, union.Hours.MeanStemC, index);
        for (int i = 0; i < index.Length; i++)
        {
            index[i] *= union.SapLeftFrac;
        }

        return index;
    }
}
