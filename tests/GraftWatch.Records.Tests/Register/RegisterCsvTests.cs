using System.Diagnostics;
using System.Globalization;
using System.Text;
using CsCheck;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Records.Register;
using GraftWatch.Testing;
using NodaTime;

namespace GraftWatch.Records.Tests.Register;

public sealed class RegisterCsvTests
{
    private const string Whole =
        "label,place,block,row,tree,species,scion,stock,technique,made,count,aspect,tilt,height_m,diameter_mm,cover,tie,seal,shoot_cm,bbch,nurse_buds,staked,notes\r\n"
        + "A1,Home,B,2,7,apple,'Morning Bell',M 26,whip-and-tongue,2026-04-12,3,202.5,5,0.45,12.5,foil,rubber,wax,4,9,1,tied,\"first row, by the \"\"gate\"\"\r\nsecond line\"\r\n"
        + "B7,Home,,,,fig,,,t-bud,2026-05-01,1,0,0,0.3,9,none,none,none,,,0,no,\r\n";

    [Fact]
    public void A_whole_row_is_read_cell_by_cell()
    {
        Graft graft = Registers.Read(Whole).Grafts[0];

        Assert.Equal(("A1", "Home", "B", "2", "7", "apple", "M 26"), (graft.Label, graft.Place, graft.Block, graft.Row, graft.Tree, graft.Species, graft.Stock));
        Assert.Equal((Technique.WhipAndTongue, new LocalDate(2026, 4, 12), 3), (graft.Technique, graft.Made, graft.Count));
        Assert.Equal((202.5, 5.0, 0.45, 0.0125, 0.04), (graft.AspectDeg, graft.TiltDeg, graft.HeightM, graft.DiameterM, graft.ShootM!.Value));
        Assert.Equal(("foil", "rubber", "wax", 9, 1, ShootSupport.Tied), (graft.Cover, graft.Tie, graft.Seal, graft.Bbch, graft.NurseBuds, graft.Support));
        Assert.Equal("first row, by the \"gate\"\r\nsecond line", graft.Notes);
        Assert.Empty(graft.Assumed);
    }

    [Fact]
    public void Reading_what_was_written_and_writing_it_again_gives_the_same_bytes() =>
        Assert.Equal(Whole, RegisterCsv.Write(Registers.Read(Whole).Grafts));

    [Fact]
    public void Empty_cells_take_the_documented_defaults_and_are_listed()
    {
        RegisterReading reading = Registers.Row(string.Empty, string.Empty);

        Graft graft = Assert.Single(reading.Grafts);
        Assert.Equal((1, 225.0, 0.0, 1.2, 0.035, "none", "budding-strip", "wax"), (graft.Count, graft.AspectDeg, graft.TiltDeg, graft.HeightM, graft.DiameterM, graft.Cover, graft.Tie, graft.Seal));
        Assert.Equal(
            [
                "place: Home", "height_m: 1.2 m, as usual for cleft", "diameter_mm: 35 mm, as usual for cleft", "count: 1 union", "aspect: south-west, the warmest side", "tilt: upright",
                "cover: none", "tie: budding-strip", "seal: wax", "nurse_buds: none", "staked: no",
            ],
            graft.Assumed);
        Assert.Null(graft.ShootM);
        Assert.Null(graft.Bbch);
    }

    [Fact]
    public void Assumed_cells_are_written_empty_so_that_they_stay_assumptions()
    {
        string written = RegisterCsv.Write(Registers.Row(string.Empty, string.Empty).Grafts);

        Assert.Equal("A1,,,,,apple,,,cleft,2026-04-12,,,,,,,,,,,,,\r\n", written.Split("\r\n", 2)[1]);
        Assert.Equal(written, RegisterCsv.Write(Registers.Read(written).Grafts));
    }

    [Theory]
    [InlineData("made", "2026-05-15", "2026-05-15 is in the future. Expected a day up to today, 2026-05-14.")]
    [InlineData("made", "12.04.2026", "'12.04.2026' is not a date. Expected year-month-day, such as 2026-04-12.")]
    [InlineData("made", "2026-02-30", "'2026-02-30' is not a date. Expected year-month-day, such as 2026-04-12.")]
    [InlineData("made", "1026-04-12", "1026-04-12 is before 1950-01-01. Is the year right?")]
    [InlineData("made", "", "The cell is empty. The day of grafting, such as 2026-04-12.")]
    [InlineData("label", "", "The cell is empty. A short code, unique in the register.")]
    [InlineData("species", "appel", "'appel' is not a species known here. Nearest known: apple.")]
    [InlineData("species", "nashy", "'nashy' is not a species known here. Nearest known: nashi, which is pear.")]
    [InlineData("technique", "chip-but", "'chip-but' is not a technique known here. Nearest known: chip-bud.")]
    [InlineData("count", "0", "0 is out of range. Expected 1 to 100000.")]
    [InlineData("count", "2.5", "'2.5' is not a whole number. Expected 1 to 100000.")]
    [InlineData("aspect", "361", "361 ° is out of range. Expected 0 to 360 °.")]
    [InlineData("aspect", "-90", "-90 ° is out of range. Expected 0 to 360 °.")]
    [InlineData("aspect", "SSX", "'SSX' is not a point of the compass. Expected degrees from 0 to 360, or one of N, NNE, NE, ENE, E, ESE, SE, SSE, S, SSW, SW, WSW, W, WNW, NW, NNW.")]
    [InlineData("aspect", "NaN", "'NaN' is not a point of the compass. Expected degrees from 0 to 360, or one of N, NNE, NE, ENE, E, ESE, SE, SSE, S, SSW, SW, WSW, W, WNW, NW, NNW.")]
    [InlineData("tilt", "91", "91 ° is out of range. Expected 0 to 90 °.")]
    [InlineData("height_m", "120", "120 m is out of range. Expected 0.02 to 15 m. Centimetres? 120 cm is 1.2 m.")]
    [InlineData("height_m", "\"1,2\"", "'1,2' is not a number. Write a point as the decimal mark: 1.2.")]
    [InlineData("diameter_mm", "1.2", "1.2 mm is out of range. Expected 2 to 600 mm. Centimetres? 1.2 cm is 12 mm.")]
    [InlineData("diameter_mm", "12 mm", "'12 mm' is not a number. Leave the unit out; the column is in mm.")]
    [InlineData("diameter_mm", "1e3", "'1e3' is not a number. Expected a number in mm, with a point as the decimal mark.")]
    [InlineData("diameter_mm", "450", "450 mm cannot be right for cleft. Expected 4 to 300 mm, the diameter at the union.")]
    [InlineData("cover", "foill", "'foill' is not a cover known here. Nearest known: foil.")]
    [InlineData("tie", "raphia", "'raphia' is not a tie known here. Nearest known: raffia.")]
    [InlineData("seal", "vax", "'vax' is not a seal known here. Nearest known: wax.")]
    [InlineData("bbch", "100", "100 is out of range. Expected 0 to 99.")]
    [InlineData("shoot_cm", "700", "700 cm is out of range. Expected 0 to 600 cm.")]
    [InlineData("staked", "maybe", "'maybe' does not say how the shoot is held. Expected no, tied or staked.")]
    public void A_cell_that_does_not_fit_is_named_with_line_and_column(string column, string cell, string words)
    {
        string columns = "label,species,technique,made,count,aspect,tilt,height_m,diameter_mm,cover,tie,seal,shoot_cm,bbch,staked";
        var cells = columns.Split(',').Select(c => c == column ? cell : c switch { "label" => "A1", "species" => "apple", "technique" => "cleft", "made" => "2026-04-12", _ => string.Empty });
        RegisterFault fault = Assert.Single(Registers.Read($"{columns}\n{string.Join(',', cells)}\n").Faults);

        Assert.Equal((2, column), (fault.Line, fault.Column));
        Assert.Equal(words, $"{fault.Problem} {fault.Expected}");
    }

    [Fact]
    public void Every_fault_is_listed_and_no_graft_comes_of_it()
    {
        RegisterReading reading = Registers.Read(
            "label,species,technique,made,diameter_mm,aspect,notes\n"
            + "A1,apple,cleft,2026-04-12,30,S,\"two\nlines\"\n"
            + "\n"
            + "A2,appel,clef,2027-04-12,\"30,5\",700,\n"
            + "a1,pear,cleft,2026-04-12,30,S,\n"
            + "A4,pear,cleft,2026-04-12,30,5,S,\n"
            + "A5,pear,cleft\n"
            + ",,,,,,\n"
            + "A6,pear,cleft,2026-04-12,\"30\"x,S,\n"
            + "A7,pear,cleft,2026-04-12,30,S,fine\n");

        Assert.Empty(reading.Grafts);
        Assert.Equal(
            [(5, "species"), (5, "technique"), (5, "made"), (5, "diameter_mm"), (5, "aspect"), (6, "label"), (7, "diameter_mm"), (8, string.Empty), (10, "diameter_mm")],
            reading.Faults.Select(f => (f.Line, f.Column)));
        Assert.Contains(reading.Faults, f => f.ToString() == "register.csv:6: label: 'a1' is on line 2 already. A label is used once in a register.");
        Assert.Contains(reading.Faults, f => f.ToString() == "register.csv:7: diameter_mm: The row has 8 cells, the header 7. A comma as the decimal mark near diameter_mm? Write 30.5 with a point.");
    }

    [Theory]
    [InlineData("", "The file is empty.")]
    [InlineData("\r\n\r\n", "The file is empty.")]
    [InlineData("A1,apple,cleft,2026-04-12\n", "The first line does not name columns.")]
    [InlineData("label;species;technique;made\nA1;apple;cleft;2026-04-12\n", "The cells are parted by semicolons.")]
    [InlineData("label\tspecies\ttechnique\tmade\n", "The cells are parted by tabs.")]
    [InlineData("<!DOCTYPE html>\n<html></html>\n", "The first line does not name columns.")]
    public void A_file_that_is_no_register_is_one_fault(string text, string problem) =>
        Assert.Equal(problem, Assert.Single(Registers.Read(text).Faults).Problem);

    [Fact]
    public void A_header_with_unknown_double_and_missing_columns_names_each_and_the_nearest()
    {
        RegisterReading reading = Registers.Read("label,specis,technique,made,Label,hight_m\nA1,apple,cleft,2026-04-12,,\n");

        Assert.Equal(
            [
                "register.csv:1: specis: There is no such column. Nearest known: species.",
                "register.csv:1: label: This column is there twice. Keep one of the two.",
                "register.csv:1: hight_m: There is no such column. Nearest known: height_m.",
                "register.csv:1: species: This column is missing. Every register has label, species, technique, made; the others may be left out.",
            ],
            reading.Faults.Select(f => f.ToString()));
    }

    [Fact]
    public void A_byte_order_mark_line_ends_order_of_columns_and_letter_case_do_not_matter()
    {
        string text = "Made,TECHNIQUE,label,species\r\n2026-04-12,Whip and Tongue,A1,Malus\r\n";
        byte[] bytes = [.. Encoding.UTF8.Preamble, .. Encoding.UTF8.GetBytes(text)];

        Graft graft = Assert.Single(RegisterCsv.Parse(bytes, Registers.Handbook, Registers.Today, Registers.Context).Grafts);

        Assert.Equal((Technique.WhipAndTongue, "apple", "A1"), (graft.Technique, graft.Species, graft.Label));
        Assert.Equal("apple", Assert.Single(Registers.Read(text.Replace("\r\n", "\r", StringComparison.Ordinal)).Grafts).Species);
    }

    [Fact]
    public void A_file_in_an_older_encoding_says_so()
    {
        RegisterReading reading = RegisterCsv.Parse(Encoding.Latin1.GetBytes("label,species,technique,made,scion\nA1,apple,cleft,2026-04-12,Jakob Größe\n"), Registers.Handbook, Registers.Today, Registers.Context);

        RegisterFault fault = Assert.Single(reading.Faults);
        Assert.Equal((2, "The file is not UTF-8."), (fault.Line, fault.Problem));
    }

    [Theory]
    [InlineData("N", 0)]
    [InlineData("nne", 22.5)]
    [InlineData("SSW", 202.5)]
    [InlineData("NNW", 337.5)]
    [InlineData("360", 0)]
    [InlineData("202.5", 202.5)]
    public void Aspects_are_degrees_or_points_of_the_compass(string cell, double degrees) =>
        Assert.Equal(degrees, Assert.Single(Registers.Row("aspect", cell).Grafts).AspectDeg);

    [Fact]
    public void Places_are_checked_where_they_are_known()
    {
        Place home = new("Home", new Site { LatitudeDeg = 51, LongitudeDeg = 7, ElevationM = 100 }, DateTimeZone.Utc);
        Place south = home with { Name = "Estancia", Site = home.Site with { LatitudeDeg = -34 } };
        const string Header = "label,place,species,technique,made\n";

        RegisterReading one = RegisterCsv.Parse(Header + "A1,,apple,cleft,2026-04-12\n", Registers.Handbook, Registers.Today, new RegisterContext { Places = [south] });
        Assert.Equal(("Estancia", 315.0), (one.Grafts[0].Place, one.Grafts[0].AspectDeg));

        RegisterReading two = RegisterCsv.Parse(Header + "A1,,apple,cleft,2026-04-12\nA2,Hom,apple,cleft,2026-04-12\nA3,home,apple,cleft,2026-04-12\n", Registers.Handbook, Registers.Today, new RegisterContext { Places = [home, south] });
        Assert.Equal(["The cell is empty. There is more than one place: Home, Estancia.", "There is no place named 'Hom'. Nearest known: Home."], two.Faults.Select(f => f.Problem + " " + f.Expected));
    }

    [Fact]
    public void An_open_quote_is_named_where_it_opens()
    {
        RegisterReading reading = Registers.Read("label,species,technique,made,notes\nA1,apple,cleft,2026-04-12,\"open\nA2,apple,cleft,2026-04-12,\n");

        RegisterFault fault = Assert.Single(reading.Faults);
        Assert.Equal((2, "notes"), (fault.Line, fault.Column));
    }

    [Fact]
    public void Ten_thousand_rows_are_read_in_well_under_a_second()
    {
        var text = new StringBuilder(RegisterColumns.Header).Append('\n');
        for (int i = 0; i < 10_000; i++)
        {
            text.Append(CultureInfo.InvariantCulture, $"T{i},,B,{i % 40},{i},apple,Bell,M 9,whip-and-tongue,2026-04-{1 + (i % 28):00},1,SW,,0.2,11.5,foil,rubber,wax,,,,,\"row {i}, tree\"\n");
        }

        // The best of five, so that a busy machine does not decide.
        string whole = text.ToString();
        TimeSpan best = TimeSpan.MaxValue;
        RegisterReading reading = Registers.Read(whole);
        for (int run = 0; run < 5; run++)
        {
            var watch = Stopwatch.StartNew();
            reading = Registers.Read(whole);
            best = watch.Elapsed < best ? watch.Elapsed : best;
        }

        Assert.Equal(10_000, reading.Grafts.Count);
        Assert.True(best < TimeSpan.FromSeconds(1), $"took {best}");
        Assert.Equal(10_001, RegisterCsv.Write(reading.Grafts).Split("\r\n").Length - 1);
    }

    [Fact]
    public void Ten_thousand_wrong_rows_are_each_named()
    {
        var text = new StringBuilder("label,species,technique,made\n");
        for (int i = 0; i < 10_000; i++)
        {
            text.Append(CultureInfo.InvariantCulture, $"T{i},aple,cleft,2026-04-12\n");
        }

        IReadOnlyList<RegisterFault> faults = Registers.Read(text.ToString()).Faults;
        Assert.Equal(10_000, faults.Count);
        Assert.Equal((10_001, "Nearest known: apple."), (faults[^1].Line, faults[^1].Expected));
    }

    [Fact]
    public void Any_register_that_reads_writes_the_same_bytes_twice() => Grafts.Sample(grafts =>
    {
        string first = RegisterCsv.Write(grafts);
        RegisterReading reading = Registers.Read(first);
        Assert.True(reading.IsValid, string.Join('\n', reading.Faults));
        Assert.Equal(grafts.Length, reading.Grafts.Count);
        Assert.Equal(first, RegisterCsv.Write(reading.Grafts));
    });

    [Fact]
    public void Any_text_is_read_or_refused_and_never_throws() =>
        Gen.OneOf(Gen.String, Gen.Char[",\"\r\n;a1 "].Array[0, 200].Select(c => "label,species,technique,made,notes\n" + new string(c))).Sample(text =>
        {
            RegisterReading reading = Registers.Read(text);
            return reading.IsValid || reading.Grafts.Count == 0;
        });

    [Fact]
    public void The_columns_and_defaults_of_the_manual_are_those_of_the_program()
    {
        string manual = File.ReadAllText(Repository.PathOf("docs", "register.md"));

        Assert.Equal(RegisterColumns.All, manual.Split('\n').Where(l => l.StartsWith("| `", StringComparison.Ordinal)).Select(l => l.Split('`')[1]).Take(RegisterColumns.All.Count));
        foreach (Technique technique in Enum.GetValues<Technique>())
        {
            string row = string.Create(CultureInfo.InvariantCulture, $"| {TradeNames.Key(technique)} | {RegisterDefaults.HeightM(technique)} | {RegisterDefaults.DiameterM(technique) * 1000:0.#} | {RegisterDefaults.DiameterRangeM(technique).Least * 1000:0.#} to {RegisterDefaults.DiameterRangeM(technique).Most * 1000:0.#} | {RegisterDefaults.Tie(technique)} | {RegisterDefaults.Seal(technique)} |");
            Assert.Contains(row, manual, StringComparison.Ordinal);
        }
    }

    private static readonly Gen<string> Words = Gen.Char[" ,\"\r\nabcÄß'=;0"].Array[0, 12].Select(c => new string(c));

    private static readonly Gen<Graft[]> Grafts =
        Gen.Select(Gen.Enum<Technique>(), Gen.Int[1, 500], Gen.Double[0, 359.9], Gen.Double[0, 90], Gen.Double[0.02, 15], Words, Words, Gen.Double[0, 5].Nullable())
            .Select((technique, count, aspect, tilt, height, notes, scion, shoot) => new Graft
            {
                Label = "?",
                Place = "Home",
                Species = "apple",
                Technique = technique,
                Made = new LocalDate(2026, 4, 1),
                Count = count,
                AspectDeg = aspect,
                TiltDeg = tilt,
                HeightM = height,
                DiameterM = RegisterDefaults.DiameterM(technique),
                Scion = scion,
                Notes = notes,
                ShootM = shoot,
                Tie = "none",
                Seal = "none",
            })
            .Array[0, 20].Select(all => all.Select((g, i) => g with { Label = string.Create(CultureInfo.InvariantCulture, $"L{i}") }).ToArray());
}
