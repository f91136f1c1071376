using CsCheck;
using GraftWatch.Settings.Quantities;

namespace GraftWatch.Settings.Tests.Quantities;

public sealed class UnitsTests
{
    // Factors are exact by definition: NIST SP 811 (2008) appendix B.8 and the SI brochure, 9th ed., table 8 (knot).
    public static TheoryData<string, string, double> Conversions => new()
    {
        { "temperature", "38 °C", 38 },
        { "temperature", "38°C", 38 },
        { "temperature", "38 C", 38 },
        { "temperature", "95 °F", 35 },
        { "temperature", "32 °F", 0 },
        { "temperature", "100 °F", 37.777777777777779 },
        { "temperature", "-40 °F", -40 },
        { "temperature", "\u22125 °C", -5 },
        { "difference", "5 K", 5 },
        { "difference", "9 °F", 5 },
        { "speed", "45 km/h", 12.5 },
        { "speed", "12 m/s", 12 },
        { "speed", "25 mph", 11.176 },
        { "speed", "10 kn", 5.1444444444444448 },
        { "rain", "8 mm", 8 },
        { "rain", "0.3 in", 7.62 },
        { "length", "20 cm", 0.20 },
        { "length", "0.5 m", 0.5 },
        { "length", "1 ft", 0.3048 },
        { "length", "8 in", 0.2032 },
        { "pressure", "1.5 kPa", 1.5 },
        { "pressure", "15 hPa", 1.5 },
        { "irradiance", "600 W/m²", 600 },
        { "irradiance", "600 W/m2", 600 },
        { "days", "2 weeks", 14 },
        { "days", "10 days", 10 },
        { "days", "48 h", 2 },
        { "days", "12 months", 365.25 },
        { "hours", "48 h", 48 },
        { "hours", "90 min", 1.5 },
        { "hours", "2 days", 48 },
        { "minutes", "15 min", 15 },
        { "minutes", "1.5 h", 90 },
        { "share", "80 %", 0.80 },
        { "share", "0.8", 0.8 },
        { "strength", "55 MPa", 55e6 },
        { "resistance", "0.03 m²K/W", 0.03 },
        { "number", "1.3", 1.3 },
        { "number", "1e-3", 0.001 },
        { "angle", "7.41", 7.41 },
    };

    public static TheoryData<string, string, string> Refusals => new()
    {
        { "temperature", "38,5 °C", "comma" },
        { "temperature", "1,000 °C", "thousands" },
        { "temperature", "38", "no unit" },
        { "temperature", "38 K", "the unit of a temperature difference" },
        { "temperature", "38 °", "the unit of an angle" },
        { "temperature", "38 °Cc", "nearest is '°C'" },
        { "temperature", "38 °C or so", "not a unit" },
        { "temperature", "warm", "does not begin with a number" },
        { "temperature", "", "does not begin with a number" },
        { "temperature", "°C 38", "does not begin with a number" },
        { "temperature", "38.°C", "not a unit" },
        { "temperature", ".5 °C", "does not begin with a number" },
        { "temperature", "1e300 °C", "not a number of this world" },
        { "temperature", "NaN °C", "does not begin with a number" },
        { "speed", "45 kmm/h", "nearest is 'km/h'" },
        { "speed", "45 °C", "the unit of a temperature" },
        { "rain", "8 MM/d", "not a unit" },
        { "strength", "55 mpa", "not a unit" },
        { "number", "1.3 m", "no place here" },
        { "share", "80 percents", "nearest is 'percent'" },
    };

    [Theory]
    [MemberData(nameof(Conversions))]
    public void A_value_with_its_unit_becomes_the_kept_number_exactly(string quantity, string text, double kept)
    {
        UnitReading reading = Units.Parse(text, Named(quantity));

        Assert.Null(reading.Problem);
        Assert.Equal(kept, reading.Value);
    }

    [Theory]
    [MemberData(nameof(Refusals))]
    public void What_is_not_a_value_is_refused_with_what_was_expected(string quantity, string text, string words)
    {
        UnitReading reading = Units.Parse(text, Named(quantity));

        Assert.NotNull(reading.Problem);
        Assert.True(double.IsNaN(reading.Value));
        Assert.Contains(words, reading.Problem.Problem + " " + reading.Problem.Expected, StringComparison.Ordinal);
        Assert.NotEmpty(reading.Problem.Example);
        Assert.True(Units.Parse(reading.Problem.Example, Named(quantity)).IsValid, "the example must itself be right");
    }

    [Fact]
    public void A_bare_number_names_the_units_that_would_do()
    {
        UnitProblem problem = Assert.IsType<UnitProblem>(Units.Parse("38", Quantity.Temperature).Problem);

        Assert.Equal("Expected a temperature in °C or °F.", problem.Expected);
        Assert.Equal("38 °C", problem.Example);
    }

    [Fact]
    public void What_is_written_reads_back_as_the_same_number() =>
        Gen.Select(Gen.Double[-1e6, 1e6], Gen.Int[0, Quantity.All.Count - 1]).Sample((value, index) =>
        {
            Quantity quantity = Quantity.All[index];
            return Units.Parse(Units.Write(value, quantity), quantity).Value == value;
        });

    [Fact]
    public void Every_spelling_of_every_unit_reads_and_agrees_with_its_symbol()
    {
        int checkedSpellings = 0;
        foreach (Quantity quantity in Quantity.All)
        {
            foreach (Unit unit in quantity.Units)
            {
                double expected = Units.Parse($"12 {unit.Symbol}", quantity).Value;
                foreach (string spelling in unit.Spellings)
                {
                    Assert.Equal(expected, Units.Parse($"12 {spelling}", quantity).Value);
                    checkedSpellings++;
                }
            }
        }

        Assert.True(checkedSpellings > 80);
    }

    [Fact]
    public void Any_text_is_read_or_refused_and_never_throws() =>
        Gen.Select(Gen.String, Gen.Int[0, Quantity.All.Count - 1]).Sample((text, index) =>
        {
            UnitReading reading = Units.Parse(text, Quantity.All[index]);
            return reading.IsValid ? double.IsFinite(reading.Value) : double.IsNaN(reading.Value);
        });

    private static Quantity Named(string name) => name switch
    {
        "temperature" => Quantity.Temperature,
        "difference" => Quantity.TemperatureDifference,
        "speed" => Quantity.Speed,
        "rain" => Quantity.Rain,
        "length" => Quantity.Length,
        "pressure" => Quantity.Pressure,
        "irradiance" => Quantity.Irradiance,
        "days" => Quantity.Days,
        "hours" => Quantity.Hours,
        "minutes" => Quantity.Minutes,
        "share" => Quantity.Fraction,
        "strength" => Quantity.Strength,
        "resistance" => Quantity.ThermalResistance,
        "angle" => Quantity.Angle,
        _ => Quantity.Index,
    };
}
