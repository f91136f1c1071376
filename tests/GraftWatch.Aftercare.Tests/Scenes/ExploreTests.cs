using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Scenes;

public sealed class ExploreTests
{
    [Theory]
    [InlineData("orchard-massachusetts-2015-april-frost.json", "America/New_York", 2015, 4, 23)]
    [InlineData("basin-nevada-2015-april-freeze.json", "America/Los_Angeles", 2015, 4, 13)]
    [InlineData("desert-california-2015-heat.json", "America/Los_Angeles", 2015, 6, 19)]
    [InlineData("orchard-massachusetts-2015-spring.json", "America/New_York", 2015, 5, 20)]
    public void Print(string file, string zone, int year, int month, int day)
    {
        (Place place, HourlyWeather hours) = MeasuredWeather.Read(file, zone);
        LocalDate date = new(year, month, day);
        Graft[] grafts =
        [
            Bench.Graft("A1", date.PlusDays(-12)) with { Count = 4, Block = "A" },
            Bench.Graft("A2", date.PlusDays(-30)) with { Count = 3, Block = "A", AspectDeg = 225, Bbch = 9 },
            Bench.Graft("B1", date.PlusDays(-20), "walnut", Technique.Bark) with { Count = 2, DiameterM = 0.05, Cover = "foil", HeightM = 1.2 },
            Bench.Graft("B2", date.PlusDays(-45), "pear", Technique.Cleft) with { Count = 2, DiameterM = 0.04, ShootM = 0.3, Tie = "raffia", HeightM = 1.3 },
            Bench.Graft("C1", date.PlusDays(-16), "plum", Technique.ChipBud) with { Block = "C", Seal = "none" },
            Bench.Graft("C2", date.PlusDays(-25), "grape", Technique.Cleft) with { Block = "C", NurseBuds = 0 },
            Bench.Graft("D1", date.PlusDays(-25), "avocado", Technique.SideVeneer) with { Block = "D", Cover = "film", NurseBuds = 0 },
        ];
        Round round = Bench.Round(place, hours, grafts, date);
        TestContext.Current.TestOutputHelper?.WriteLine(RoundPrinter.Print(round));
        File.WriteAllText(Path.Combine(Path.GetTempPath(), "gw-" + file + ".txt"), RoundPrinter.Print(round));
        Assert.NotEmpty(round.Stages);
    }
}
