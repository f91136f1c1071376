using GraftWatch.Microclimate.Response;
using GraftWatch.Testing;

namespace GraftWatch.Microclimate.Tests.Response;

public class ResponseVectorTests
{
    [Fact]
    public void Wang_Engel_and_Yan_Hunt_follow_their_equations()
    {
        foreach (VectorRow row in VectorFile.Load("Response/curves.regression.csv").Rows)
        {
            var cardinals = new CardinalTemperatures(row["minC"], row["optimumC"], row["maxC"]);
            row.Check("wangEngel", WangEngel.Rate(row["temperatureC"], cardinals));
            row.Check("yanHunt", YanHunt.Rate(row["temperatureC"], cardinals));
        }
    }

    [Fact]
    public void Lactin_follows_its_equation()
    {
        var curve = new Lactin(0.0118, 38, 1.2, -1.09);
        foreach (VectorRow row in VectorFile.Load("Response/lactin.regression.csv").Rows)
        {
            row.Check("rate", curve.Rate(row["temperatureC"]));
        }
    }

    [Theory]
    [InlineData("Response/degree-days-published.csv")]
    [InlineData("Response/degree-days.regression.csv")]
    public void Degree_days_of_a_day_match(string file)
    {
        foreach (VectorRow row in VectorFile.Load(file).Rows)
        {
            row.Check("sineKd", DegreeDays.SingleSine(row["minC"], row["maxC"], row["lowerC"], row["upperC"]));
            row.Check("triangleKd", DegreeDays.SingleTriangle(row["minC"], row["maxC"], row["lowerC"], row["upperC"]));
        }
    }

    [Fact]
    public void Heat_dose_meets_its_anchors()
    {
        foreach (VectorRow row in VectorFile.Load("Response/heat-dose.csv").Rows)
        {
            row.Check("softHours", HeatDose.HoursToDamage(row["tissueC"], HeatTissue.Soft));
            row.Check("woodyHours", HeatDose.HoursToDamage(row["tissueC"], HeatTissue.Woody));
        }
    }

    [Fact]
    public void A_year_of_Ojai_matches_the_published_program_day_by_day_and_in_sum()
    {
        string[] lines = File.ReadAllLines(SharedData.PathOrSkip("ojai_ca_2016_ucipm_degree_days_12_33C.csv"));
        double sine = 0, triangle = 0;
        int days = 0, aboveUpper = 0;
        foreach (string line in lines.Skip(1))
        {
            double[] cells = line.Split(',').Skip(1).Select(Numbers.Parse).ToArray();
            double daySine = DegreeDays.SingleSine(cells[0], cells[1], 12, 33);
            double dayTriangle = DegreeDays.SingleTriangle(cells[0], cells[1], 12, 33);
            Assert.InRange(daySine - cells[2], -0.0051, 0.0051);
            Assert.InRange(dayTriangle - cells[4], -0.0051, 0.0051);
            sine += daySine;
            triangle += dayTriangle;
            days++;
            aboveUpper += cells[1] > 33 ? 1 : 0;
            if (line.StartsWith("03/31", StringComparison.Ordinal))
            {
                Assert.InRange(sine, 353.60 - 0.5, 353.60 + 0.5);
                Assert.InRange(triangle, 323.43 - 0.5, 323.43 + 0.5);
            }
        }

        Assert.Equal(366, days);
        Assert.Equal(11, aboveUpper);
        Assert.InRange(sine, 2095.87 - 0.5, 2095.87 + 0.5);
        Assert.InRange(triangle, 2026.74 - 0.5, 2026.74 + 0.5);
    }
}
