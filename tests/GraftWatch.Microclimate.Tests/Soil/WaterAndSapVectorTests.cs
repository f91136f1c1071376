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
