using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Keys;
using GraftWatch.Settings.Quantities;
using GraftWatch.Settings.Toml;
using static GraftWatch.Settings.Handbooks.MaterialKeys;

namespace GraftWatch.Settings.Handbooks;

/// <summary>Materials and work, read from materials.toml.</summary>
internal sealed record MaterialsFile(
    IReadOnlyDictionary<string, CoverMaterial> Covers,
    IReadOnlyDictionary<string, TieMaterial> Ties,
    IReadOnlyDictionary<string, SealMaterial> Seals,
    IReadOnlyDictionary<string, WorkNeed> Work)
{
    /// <summary>Reads the file; meaningless when the list holds faults.</summary>
    internal static MaterialsFile Read(TomlTable root, FaultList faults)
    {
        var reader = new TableReader(root, string.Empty, Root, faults);
        var file = new MaterialsFile(
            Read(reader, MaterialKeys.Covers, ReadCover),
            Read(reader, MaterialKeys.Ties, ReadTie),
            Read(reader, MaterialKeys.Seals, (key, r) => new SealMaterial(key, r.Text(Name), r.Number(Pass), r.Text(Source))),
            Read(reader, MaterialKeys.Work, ReadWork));
        RequireAllWork(reader, file.Work);
        return file;
    }

    private static Dictionary<string, T> Read<T>(TableReader root, KeySpec spec, Func<string, TableReader, T> read)
    {
        var all = root.NamedSections(spec).ToDictionary(t => t.Name, t => read(t.Name, t.Reader), StringComparer.Ordinal);
        if (all.Count > 0 && spec != MaterialKeys.Work && !all.ContainsKey("none"))
        {
            root.Fault(spec, $"There is no [{spec.Key}.none].", $"A union without {spec.Key} is looked up there.");
        }

        return all;
    }

    private static CoverMaterial ReadCover(string key, TableReader reader)
    {
        List<CoverLayer> layers = reader.Sections(Layers).Select(ReadLayer).ToList();
        if (key == "none" && layers.Count > 0)
        {
            reader.Fault(Layers, "The cover named none has layers.", "Expected an empty list: it is the bare union.");
        }

        return new CoverMaterial(key, reader.Text(Name), layers, reader.Number(FitMinutes), reader.Flag(WetInside), reader.Number(FrostGain, 0), reader.Text(Source));
    }

    private static CoverLayer ReadLayer(TableReader reader)
    {
        double absorbed = reader.Number(SolarAbsorptance), passed = reader.Number(SolarTransmittance, 0);
        if (absorbed + passed > 1 + 1e-9)
        {
            reader.Fault(SolarTransmittance, $"The layer swallows {Units.Number(absorbed)} and passes {Units.Number(passed)} of the sunlight, more than there is.", "Expected solar_absorptance and solar_transmittance to add up to 1 at most.");
        }

        double emitted = reader.Number(Emissivity), through = reader.Number(InfraredTransmittance, 0);
        if (emitted + through > 1 + 1e-9)
        {
            reader.Fault(InfraredTransmittance, $"The layer gives off {Units.Number(emitted)} and passes {Units.Number(through)} of the heat rays, more than there is.", "Expected emissivity and infrared_transmittance to add up to 1 at most.");
        }

        return new CoverLayer
        {
            Name = reader.Text(LayerName),
            SolarAbsorptanceFrac = absorbed,
            SolarTransmittanceFrac = passed,
            EmissivityFrac = emitted,
            InfraredTransmittanceFrac = through,
            GapResistanceM2KPerW = reader.Number(GapResistance, 0),
            AddedDiameterM = reader.Number(AddedDiameter, 0.003),
            VapourPassFrac = reader.Number(VapourPass, 1),
            ShadeFrac = reader.Number(Shade, 0),
        };
    }

    private static TieMaterial ReadTie(string key, TableReader reader)
    {
        double from = reader.Number(SlitFrom), by = reader.Number(SlitBy);
        if (reader.Has(SlitFrom) != reader.Has(SlitBy))
        {
            reader.Fault(reader.Has(SlitFrom) ? SlitFrom : SlitBy, "Only one of slit_from and slit_by is there.", "Give both, or neither where the tie is never slit.");
        }
        else if (by < from)
        {
            reader.Fault(SlitBy, $"{Units.Show(by, Quantity.Days)} is before slit_from, {Units.Show(from, Quantity.Days)}.", "Expected the latest slitting to come last.");
        }

        return new TieMaterial(key, reader.Text(Name), reader.Number(FirstLook), from, by, reader.Flag(Rots), reader.Text(Source));
    }

    private static WorkNeed ReadWork(string key, TableReader reader)
    {
        reader.Text(WorkSource);
        return new WorkNeed(key, reader.Number(MinutesKey), reader.Texts(Bring));
    }

    // Every action that advice can name has its minutes; unknown ones are kept, they may belong to a later version.
    private static void RequireAllWork(TableReader reader, IReadOnlyDictionary<string, WorkNeed> work)
    {
        string[] missing = Enum.GetValues<WorkAction>().Select(KeyOf).Where(key => !work.ContainsKey(key)).ToArray();
        if (missing.Length > 0 && work.Count > 0)
        {
            string more = missing.Length > 6 ? $" and {missing.Length - 6} more" : string.Empty;
            reader.Fault(MaterialKeys.Work, $"Missing: {string.Join(", ", missing.Take(6).Select(m => $"[work.{m}]"))}{more}.", "Every kind of work needs its minutes.");
        }
    }

    private static string KeyOf(WorkAction action) => TradeNames.Kebab(action.ToString());
}
