using GraftWatch.Microclimate.Soil;
using GraftWatch.Testing;

namespace GraftWatch.Microclimate.Tests.Soil;

public class WaterAndSapVectorTests
{
    [Fact]
    public void Bucket_follows_the_standard()
    {
        double available = WaterBucket.TotalAvailableMm(0.27, 0.14, 1.0);
        Assert.Equal(130, available, 9);
        var bucket = new WaterBucket(available);
        foreach (VectorRow row in VectorFile.Load("Soil/water-bucket.regression.csv").Rows)
        {
            row.Check("easyMm", bucket.EasyMm(row["useMmPerDay"]));
            row.Check("stressFrac", bucket.StressFrac(row["depletionMm"], row["useMmPerDay"]));
        }
    }

    [Fact]
    public void Twelve_days_of_a_bucket_follow_an_independent_program()
    {
        var bucket = new WaterBucket(WaterBucket.TotalAvailableMm(0.225, 0.100, 0.6), 0.65);
        double depletion = bucket.AvailableMm;
        foreach (VectorRow row in VectorFile.Load("Soil/water-balance.csv").Rows)
        {
            double use = row["useMm"];
            row.Check("easyFrac", bucket.EasyFracAt(use));
            row.Check("easyMm", bucket.EasyMm(use));
            row.Check("stressFrac", bucket.StressFrac(depletion, use));
            BucketStep step = bucket.Step(depletion, use, use, row["irrigationMm"]);
            row.Check("drainageMm", step.DrainageMm);
            row.Check("depletionMm", step.DepletionMm);
            depletion = step.DepletionMm;
        }
    }

    [Fact]
    public void Sap_index_follows_its_documented_form()
    {
        foreach (VectorRow row in VectorFile.Load("Soil/sap-index.regression.csv").Rows)
        {
            row.Check("index", SapIndex.Value(
                row["soilC"],
                row["waterFrac"],
                row["rainThreeDaysMm"],
                row["etDayMm"],
                row["leafFrac"],
                SapIndex.WeightOf(SapClass.Strong)));
        }
    }
}
