using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Handbooks;
using GraftWatch.Settings.Installation;
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
        IReadOnlyDictionary<string, SpeciesTraits> species = SpeciesFile.Read(Parse(speciesText, speciesFaults), speciesFaults);
        MaterialsFile materials = MaterialsFile.Read(Parse(materialsText, materialsFaults), materialsFaults);
        IReadOnlyList<FileOrigin> origins = [speciesText.Origin, materialsText.Origin, thresholdsText.Origin];

        ThresholdNames names = NamesFor(species, speciesFaults, materials, materialsFaults);
        ThresholdSet? shipped = thresholdsText.Origin.IsShipped ? null : ReadShippedThresholds();
        ThresholdSet? set = ThresholdsFile.Read(Parse(thresholdsText, thresholdsFaults), names, shipped, thresholdsFaults);

        IReadOnlyList<SettingsFault> faults = [.. speciesFaults.InFileOrder(), .. materialsFaults.InFileOrder(), .. thresholdsFaults.InFileOrder()];
        IReadOnlyList<SettingsFault> warnings = [.. SecretSmell.Find(speciesText), .. SecretSmell.Find(materialsText), .. SecretSmell.Find(thresholdsText)];
        return faults.Count > 0 || set is null
            ? Loaded<Handbook>.Invalid(faults, origins, warnings)
            : Loaded<Handbook>.Valid(new Handbook(species, materials.Covers, materials.Ties, materials.Seals, materials.Work, set), origins, warnings);
    }

    /// <summary>Reads graftwatch.toml.</summary>
    public static Loaded<GraftWatchSettings> LoadGraftWatch(string path) => ReadGraftWatch(SourceText.FromDisk(path, InstallationName), Path.GetDirectoryName(Path.GetFullPath(path)) ?? string.Empty);

    /// <summary>Reads graftwatch.toml from bytes that are already in memory.</summary>
    /// <param name="text">The file.</param>
    /// <param name="folder">Folder that relative paths in it start from; empty leaves them as they are.</param>
    public static Loaded<GraftWatchSettings> ReadGraftWatch(SourceText text, string folder)
    {
        FaultList faults = new(text.Name), warnings = new(text.Name);
        GraftWatchSettings settings = new InstallationFile(faults, warnings, folder).Read(Parse(text, faults));
        IReadOnlyList<SettingsFault> allWarnings = [.. warnings.InFileOrder(), .. SecretSmell.Find(text)];
        return faults.Count > 0
            ? Loaded<GraftWatchSettings>.Invalid(faults.InFileOrder(), [text.Origin], allWarnings)
            : Loaded<GraftWatchSettings>.Valid(settings, [text.Origin], allWarnings);
    }

    private static TomlTable Parse(SourceText text, FaultList faults)
    {
        if (text.Trouble is { } trouble)
        {
            faults.AddSyntax(0, 0, trouble);
            return new TomlTable(1, 1);
        }

        return TomlFile.Read(text.Bytes.Span, faults);
    }

    // Names from a file that is itself at fault would only breed faults about names.
    private static ThresholdNames NamesFor(IReadOnlyDictionary<string, SpeciesTraits> species, FaultList speciesFaults, MaterialsFile materials, FaultList materialsFaults)
    {
        if (speciesFaults.Count > 0)
        {
            species = ShippedSpecies();
        }

        if (materialsFaults.Count > 0)
        {
            var ignored = new FaultList(MaterialsName);
            materials = MaterialsFile.Read(Parse(SourceText.Shipped(MaterialsName), ignored), ignored);
        }

        return new ThresholdNames(SpeciesWords.Of(species.Values), materials.Covers.Keys.ToList(), materials.Ties.Keys.ToList());
    }

    private static IReadOnlyDictionary<string, SpeciesTraits> ShippedSpecies()
    {
        var ignored = new FaultList(SpeciesName);
        return SpeciesFile.Read(Parse(SourceText.Shipped(SpeciesName), ignored), ignored);
    }

    private static ThresholdSet ReadShippedThresholds() => ShippedHandbook.Value.Thresholds;

    private static readonly Lazy<Handbook> ShippedHandbook = new(() =>
    {
        Loaded<Handbook> shipped = ReadHandbook(HandbookFiles.Shipped);
        return shipped.Value ?? throw new InvalidOperationException("The shipped settings are wrong:\n" + shipped);
    });
}
