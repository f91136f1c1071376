using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Keys;
using GraftWatch.Settings.Quantities;
using GraftWatch.Settings.Toml;
using static GraftWatch.Settings.Handbooks.SpeciesKeys;

namespace GraftWatch.Settings.Handbooks;

/// <summary>Reads species.toml.</summary>
internal sealed class SpeciesFile
{
    private const int Unread = -1;

    private readonly Dictionary<string, HealingCurve> curves = new(StringComparer.Ordinal);
    private readonly Dictionary<string, string> words = new(StringComparer.Ordinal);

    /// <summary>The species by key; meaningless when the list holds faults.</summary>
    internal static IReadOnlyDictionary<string, SpeciesTraits> Read(TomlTable root, FaultList faults)
    {
        var reader = new TableReader(root, string.Empty, Root, faults);
        var file = new SpeciesFile();
        foreach (NamedTable curve in reader.NamedSections(Curves))
        {
            file.curves[curve.Name] = ReadCurve(curve);
        }

        IReadOnlyList<NamedTable> tables = reader.NamedSections(Species);
        foreach (NamedTable table in tables)
        {
            file.words[table.Name] = table.Name;
        }

        return tables.ToDictionary(t => t.Name, file.ReadSpecies, StringComparer.Ordinal);
    }

    private static HealingCurve ReadCurve(NamedTable table)
    {
        IReadOnlyList<double> temperatures = table.Reader.Numbers(Temperatures), rates = table.Reader.Numbers(Rates);
        table.Reader.Texts(Source);
        if (temperatures.Count != rates.Count && table.Reader.Has(Temperatures) && table.Reader.Has(Rates))
        {
            table.Reader.Fault(Rates, $"There are {rates.Count} rates for {temperatures.Count} temperatures.", "Expected one rate for each temperature.");
        }

        for (int i = 1; i < temperatures.Count; i++)
        {
            if (temperatures[i] <= temperatures[i - 1])
            {
                table.Reader.Fault(Temperatures, $"{Units.Show(temperatures[i], Quantity.Temperature)} stands after {Units.Show(temperatures[i - 1], Quantity.Temperature)}.", "Expected rising temperatures.");
            }
        }

        if (temperatures.Count < 2 && table.Reader.Has(Temperatures))
        {
            table.Reader.Fault(Temperatures, "A curve needs at least two points.", "Expected rising temperatures.");
        }

        return new HealingCurve(table.Name, temperatures, rates);
    }

    private SpeciesTraits ReadSpecies(NamedTable table)
    {
        TableReader reader = table.Reader;
        double retarded = reader.Number(CallusRetarded), killed = reader.Number(CallusKilled);
        double takeFrom = reader.Number(TakeFrom), takeTo = reader.Number(TakeTo);
        InOrder(reader, CallusKilled, retarded, killed, "callus_retarded");
        InOrder(reader, TakeTo, takeFrom, takeTo, "take_from");
        return new SpeciesTraits
        {
            Key = table.Name,
            Name = reader.Text(Name),
            AlsoCalled = ReadAliases(table),
            Curve = ReadCurveName(reader),
            OptimumDaysFactor = reader.Number(OptimumDaysFactor, 1),
            TakeFromC = takeFrom,
            TakeToC = takeTo,
            CallusRetardedC = retarded,
            CallusKilledC = killed,
            ColdStallC = reader.Number(ColdStall),
            Bleeding = (BleedClass)Math.Max(0, Bleeding.Words.ToList().IndexOf(reader.Word(Bleeding))),
            SapWeightFrac = reader.Number(SapWeight),
            FreezeThawSap = reader.Flag(FreezeThawSap),
            BarkSolarAbsorptanceFrac = reader.Number(BarkAbsorptance, 0.80),
            GreenWoodStrengthPa = reader.Number(GreenWoodStrength, 60e6),
            Evergreen = reader.Flag(Evergreen),
            HardyDormant = reader.Flag(HardyDormant, true),
            SlitAtShootM = reader.Number(SlitAtShoot, 0.20),
            StockShootEveryDays = WholeDays(reader),
            Frost = ReadFrost(reader),
            SkinCaution = reader.Text(SkinCaution) is { Length: > 0 } caution ? caution : null,
            Sources = reader.Texts(Source),
        };
    }

    private HealingCurve ReadCurveName(TableReader reader)
    {
        string name = reader.Text(Curve);
        if (curves.TryGetValue(name, out HealingCurve? curve))
        {
            return curve;
        }

        if (name.Length > 0)
        {
            reader.Fault(Curve, $"There is no curve named '{(name.Length > 40 ? name[..40] + "…" : name)}'.", TableReader.Nearest(name, curves.Keys));
        }

        return new HealingCurve(name, [], []);
    }

    private IReadOnlyList<string> ReadAliases(NamedTable table)
    {
        IReadOnlyList<string> aliases = table.Reader.Texts(Also);
        foreach (string alias in aliases)
        {
            string word = TradeNames.Fold(alias);
            if (!words.TryAdd(word, table.Name) && words[word] != table.Name)
            {
                table.Reader.Fault(Also, $"'{alias}' already means {words[word]}.", "A word may mean one species only.");
            }
        }

        return aliases;
    }

    private static int WholeDays(TableReader reader)
    {
        double days = reader.Number(StockShootsEvery, 7);
        if (days != Math.Round(days))
        {
            reader.Fault(StockShootsEvery, $"{Units.Show(days, Quantity.Days)} is not a whole number of days.", "Expected whole days.");
        }

        return double.IsFinite(days) ? (int)days : 7;
    }

    private static List<FrostRow> ReadFrost(TableReader reader)
    {
        var rows = new List<FrostRow>();
        foreach (TableReader row in reader.Sections(Frost))
        {
            var read = new FrostRow(row.Whole(BbchFrom, Unread), row.Whole(BbchTo, Unread), row.Text(FrostName), row.Number(Kill10), row.Number(Kill90));
            if (read.BbchTo != Unread && read.BbchTo < read.BbchFrom)
            {
                row.Fault(BbchTo, $"The row ends at {read.BbchTo} and begins at {read.BbchFrom}.", "Expected the last code to be the first or after it.");
            }
            else if (rows.Count > 0 && read.BbchFrom != Unread && read.BbchFrom <= rows[^1].BbchTo)
            {
                row.Fault(BbchFrom, $"The row begins at {read.BbchFrom}, the row before it ends at {rows[^1].BbchTo}.", "Expected rows in rising order that do not overlap.");
            }

            if (read.Kill90C > read.Kill10C)
            {
                row.Fault(Kill90, $"{Units.Show(read.Kill90C, Quantity.Temperature)} is milder than kill10, {Units.Show(read.Kill10C, Quantity.Temperature)}.", "Killing nine in ten takes at least as much cold as killing one.");
            }

            rows.Add(read);
        }

        return rows;
    }

    private static void InOrder(TableReader reader, KeySpec upper, double low, double high, string lowName)
    {
        if (high < low)
        {
            reader.Fault(upper, $"{Units.Show(high, upper.Quantity!)} is below {lowName}, {Units.Show(low, upper.Quantity!)}.", $"Expected at least {lowName}.");
        }
    }
}
