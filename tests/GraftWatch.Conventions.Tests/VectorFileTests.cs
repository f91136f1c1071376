using GraftWatch.Testing;

namespace GraftWatch.Conventions.Tests;

public class VectorFileTests
{
    private const string Head = "# source: [Allen1998] table 2.3\n# transcribed: by hand\n# units: airC [°C], svpKPa [kPa]\n";

    [Fact]
    public void A_file_with_source_units_and_a_reasoned_tolerance_loads()
    {
        VectorFile file = VectorFile.Parse("good", Head + "# tolerance: svpKPa abs 0.0005 half the last digit\nairC,svpKPa\n20,2.338\n25,3.168\n");
        Assert.Equal(2, file.CheckedValues);
        file.Rows[0].Check("svpKPa", 2.3384);
        Assert.ThrowsAny<Exception>(() => file.Rows[0].Check("svpKPa", 2.34));
    }

    [Theory]
    [InlineData("# tolerance: svpKPa abs 0.5 too wide\nairC,svpKPa\n20,2.338\n")]
    [InlineData("# tolerance: svpKPa rel 0.2 too wide\nairC,svpKPa\n20,2.338\n")]
    [InlineData("# tolerance: svpKPa abs 0.01\nairC,svpKPa\n20,2.338\n")]
    [InlineData("airC,svpKPa\n20,2.338\n")]
    [InlineData("# tolerance: svpKPa abs 0.001 fine\nairC,svpKPa\n20,\n")]
    public void A_vacuous_or_unreasoned_tolerance_is_refused(string rest) =>
        Assert.Throws<FormatException>(() => VectorFile.Parse("bad", Head + rest));

    [Fact]
    public void A_file_without_a_source_is_refused() =>
        Assert.Throws<FormatException>(() => VectorFile.Parse("bad", "# units: x [-]\n# tolerance: y abs 0.01 fine\nx,y\n1,2\n"));
}
