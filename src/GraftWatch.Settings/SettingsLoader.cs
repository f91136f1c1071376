using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Handbooks;
using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Keys;
using GraftWatch.Settings.Secrets;
using GraftWatch.Settings.Toml;

namespace GraftWatch.Settings;

/// <summary>Reads the files a grower edits: whole and right, or every fault at once.</summary>
public static class SettingsLoader
{
    /// <summary>Name of the file with places, growers and the mail server.</summary>
    public const string InstallationName = "graftwatch.toml";

    private const string SpeciesName = "species.toml";
    private const string MaterialsName = "materials.toml";
    private const string ThresholdsName = "thresholds.toml";

    /// <summary>Reads species.toml, materials.toml and thresholds.toml.</summary>
    /// <param name="folder">Folder of the files; null for the shipped ones. A file the folder lacks is taken from the shipped ones.</param>
    /// <param name="thresholds">A thresholds file to read instead of the folder's; null for the folder's.</param>
    public static Loaded<Handbook> LoadHandbook(string? folder, string? thresholds = null) => ReadHandbook(HandbookFiles.FromDisk(folder, thresholds));

    /// <summary>Reads the three files from bytes that are already in memory.</summary>
    public static Loaded<Handbook> ReadHandbook(HandbookFiles files)
    {
        SourceText speciesText = files.Species, materialsText = files.Materials, thresholdsText = files.Thresholds;
        FaultList speciesFaults = new(speciesText.Name), materialsFaults = new(materialsText.Name), thresholdsFaults = new(thresholdsText.Name);
        IReadOnlyDictionary<string, SpeciesTraits> species = speciesText.Origin.IsShipped ? ShippedSpecies.Value : SpeciesFile.Read(Parse(speciesText, speciesFaults), speciesFaults);
        MaterialsFile materials = materialsText.Origin.IsShipped ? ShippedMaterials.Value : MaterialsFile.Read(Parse(materialsText, materialsFaults), materialsFaults);
        IReadOnlyList<FileOrigin> origins = [speciesText.Origin, materialsText.Origin, thresholdsText.Origin];

        ThresholdSet? set = thresholdsText.Origin.IsShipped
            ? ShippedThresholds.Value
            : ThresholdsFile.Read(Parse(thresholdsText, thresholdsFaults), NamesOf(species, materials), ShippedThresholds.Value, thresholdsFaults);

        IReadOnlyList<SettingsFault> faults = [.. speciesFaults.InFileOrder(), .. materialsFaults.InFileOrder(), .. thresholdsFaults.InFileOrder()];
        IReadOnlyList<SettingsFault> warnings = [.. SecretSmell.Find(speciesText), .. SecretSmell.Find(materialsText), .. SecretSmell.Find(thresholdsText)];
        return faults.Count > 0 || set is null
            ? Loaded<Handbook>.Invalid(faults, origins, warnings)
            : Loaded<Handbook>.Valid(new Handbook(species, materials.Covers, materials.Ties, materials.Seals, materials.Work, set), origins, warnings);
    }

    /// <summary>Reads graftwatch.toml.</summary>
    public static Loaded<GraftWatchSettings> LoadGraftWatch(string path)
    {
        string folder = Path.GetDirectoryName(Path.GetFullPath(path)) ?? string.Empty;
        return ReadGraftWatch(SourceText.FromDisk(path, InstallationName), folder, HandbookFiles.FromDisk(folder).Species);
    }

    /// <summary>Reads graftwatch.toml from bytes that are already in memory.</summary>
    /// <param name="text">The file.</param>
    /// <param name="folder">Folder that relative paths in it start from; empty leaves them as they are.</param>
    /// <param name="species">The species.toml beside it, whose species may be planned; null for the shipped one. Its own faults are not told here.</param>
    public static Loaded<GraftWatchSettings> ReadGraftWatch(SourceText text, string folder, SourceText? species = null)
    {
        FaultList faults = new(text.Name), warnings = new(text.Name);
        GraftWatchSettings settings = new InstallationFile(faults, warnings, folder, SpeciesWordsOf(species)).Read(Parse(text, faults));
        IReadOnlyList<SettingsFault> allWarnings = [.. warnings.InFileOrder(), .. SecretSmell.Find(text)];
        return faults.Count > 0
            ? Loaded<GraftWatchSettings>.Invalid(faults.InFileOrder(), [text.Origin], allWarnings)
            : Loaded<GraftWatchSettings>.Valid(settings, [text.Origin], allWarnings);
    }

    /// <summary>What fits neither file alone: exceptions for places that graftwatch.toml does not have. They apply to nobody.</summary>
    public static IReadOnlyList<SettingsFault> FindMismatches(Handbook handbook, GraftWatchSettings installation)
    {
        string[] places = installation.Places.Select(p => p.Name).ToArray();
        var warnings = new List<SettingsFault>();
        foreach ((string key, IReadOnlyList<SettingInForce> settings) in handbook.Thresholds.All)
        {
            foreach (SettingInForce setting in settings)
            {
                foreach (string unknown in setting.Scope.Places.Except(places, StringComparer.Ordinal))
                {
                    warnings.Add(new SettingsFault(setting.File, setting.Line, 1, key, $"There is no place named '{unknown}'; this exception applies to nobody.", TableReader.Nearest(unknown, places), string.Empty));
                }
            }
        }

        return warnings;
    }

    // A species file at fault is told by the handbook; here it must not breed faults about names.
    private static IReadOnlyDictionary<string, string> SpeciesWordsOf(SourceText? text)
    {
        if (text is null || text.Origin.IsShipped)
        {
            return SpeciesWords.Of(ShippedSpecies.Value.Values);
        }

        var faults = new FaultList(text.Name);
        IReadOnlyDictionary<string, SpeciesTraits> own = SpeciesFile.Read(Parse(text, faults), faults);
        return SpeciesWords.Of(faults.Count == 0 ? own.Values : [.. own.Values, .. ShippedSpecies.Value.Values]);
    }

    private static TomlTable Parse(SourceText text, FaultList faults)
    {
        if (text.Trouble is { } trouble)
        {
            faults.AddUnread(trouble);
            return new TomlTable(1, 1);
        }

        return TomlFile.Read(text.Bytes.Span, faults);
    }

    // The shipped names stay known beside a file's own: an exception for a species the grower has struck out harms nobody, and
    // names from a file that is itself at fault would only breed faults about names.
    private static ThresholdNames NamesOf(IReadOnlyDictionary<string, SpeciesTraits> species, MaterialsFile materials)
    {
        Dictionary<string, string> words = new(SpeciesWords.Of(species.Values));
        foreach ((string word, string key) in SpeciesWords.Of(ShippedSpecies.Value.Values))
        {
            words.TryAdd(word, key);
        }

        return new ThresholdNames(
            words,
            materials.Covers.Keys.Union(ShippedMaterials.Value.Covers.Keys).ToList(),
            materials.Ties.Keys.Union(ShippedMaterials.Value.Ties.Keys).ToList());
    }

    private static T Shipped<T>(string name, Func<TomlTable, FaultList, T> read)
    {
        SourceText text = SourceText.Shipped(name);
        var faults = new FaultList(text.Name);
        T value = read(Parse(text, faults), faults);
        return faults.Count == 0 ? value : throw new InvalidOperationException("The shipped settings are wrong:\n" + string.Join('\n', faults.InFileOrder()));
    }

    private static readonly Lazy<IReadOnlyDictionary<string, SpeciesTraits>> ShippedSpecies = new(() => Shipped(SpeciesName, SpeciesFile.Read));

    private static readonly Lazy<MaterialsFile> ShippedMaterials = new(() => Shipped(MaterialsName, MaterialsFile.Read));

    private static readonly Lazy<ThresholdSet> ShippedThresholds = new(() =>
        Shipped(ThresholdsName, (root, faults) => ThresholdsFile.Read(root, NamesOf(ShippedSpecies.Value, ShippedMaterials.Value), null, faults))!);
}
