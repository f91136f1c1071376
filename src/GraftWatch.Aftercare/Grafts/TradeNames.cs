namespace GraftWatch.Aftercare.Grafts;

/// <summary>The words that files, the register and machine-readable output use for techniques, stages and supports.</summary>
/// <remarks>Words that are read ignore case, and take a space, a hyphen and an underscore for the same thing.</remarks>
public static class TradeNames
{
    private static readonly string[] TechniqueKeys =
    [
        "whip-and-tongue", "splice", "cleft", "bark", "inlay", "side-veneer", "saddle", "chip-bud", "t-bud", "patch-bud", "bridge", "approach",
    ];

    private static readonly string[] StageKeys = ["set", "callus", "knit", "push", "run", "ripen", "established", "failed"];

    private static readonly string[] SupportKeys = ["free", "tied", "staked"];

    private static readonly Dictionary<string, Technique> TechniquesByWord = Words<Technique>(TechniqueKeys, new()
    {
        ["whip"] = Technique.WhipAndTongue,
        ["tongue"] = Technique.WhipAndTongue,
        ["plain-whip"] = Technique.Splice,
        ["wedge"] = Technique.Cleft,
        ["rind"] = Technique.Bark,
        ["crown"] = Technique.Bark,
        ["inlay-bark"] = Technique.Inlay,
        ["veneer"] = Technique.SideVeneer,
        ["side-wedge"] = Technique.SideVeneer,
        ["side"] = Technique.SideVeneer,
        ["chip"] = Technique.ChipBud,
        ["chip-budding"] = Technique.ChipBud,
        ["tbud"] = Technique.TBud,
        ["t-budding"] = Technique.TBud,
        ["shield-bud"] = Technique.TBud,
        ["patch"] = Technique.PatchBud,
        ["ring-bud"] = Technique.PatchBud,
        ["flute-bud"] = Technique.PatchBud,
        ["inarch"] = Technique.Approach,
    });

    private static readonly Dictionary<string, Stage> StagesByWord = Words<Stage>(StageKeys, []);

    private static readonly Dictionary<string, ShootSupport> SupportsByWord = Words<ShootSupport>(SupportKeys, []);

    /// <summary>Keys of all techniques, in the order of the enumeration.</summary>
    public static IReadOnlyList<string> Techniques => TechniqueKeys;

    /// <summary>Keys of all stages, in the order they are passed through.</summary>
    public static IReadOnlyList<string> Stages => StageKeys;

    /// <summary>Keys of all supports.</summary>
    public static IReadOnlyList<string> Supports => SupportKeys;

    /// <summary>The key of a technique, such as <c>whip-and-tongue</c>.</summary>
    public static string Key(Technique technique) => TechniqueKeys[(int)technique];

    /// <summary>The key of a stage, such as <c>callus</c>.</summary>
    public static string Key(Stage stage) => StageKeys[(int)stage];

    /// <summary>The key of a support, such as <c>staked</c>.</summary>
    public static string Key(ShootSupport support) => SupportKeys[(int)support];

    /// <summary>Reads a technique by its key or another word of the trade for it.</summary>
    public static bool TryParse(string word, out Technique technique) => TechniquesByWord.TryGetValue(Fold(word), out technique);

    /// <summary>Reads a stage by its key.</summary>
    public static bool TryParse(string word, out Stage stage) => StagesByWord.TryGetValue(Fold(word), out stage);

    /// <summary>Reads a support by its key.</summary>
    public static bool TryParse(string word, out ShootSupport support) => SupportsByWord.TryGetValue(Fold(word), out support);

    /// <summary>A word as keys are compared: trimmed, lower case, spaces and underscores as hyphens.</summary>
    public static string Fold(string word) => string.Create(word.Trim().Length, word.Trim(), static (target, source) =>
    {
        for (int i = 0; i < target.Length; i++)
        {
            target[i] = source[i] is ' ' or '_' or '\u00A0' ? '-' : char.ToLowerInvariant(source[i]);
        }
    });

    /// <summary>A name of the program in the form keys have: <c>FrostCoverOff</c> becomes <c>frost-cover-off</c>.</summary>
    public static string Kebab(string name)
    {
        char[] letters = new char[name.Length * 2];
        int at = 0;
        for (int i = 0; i < name.Length; i++)
        {
            if (i > 0 && char.IsAsciiLetterUpper(name[i]))
            {
                letters[at++] = '-';
            }

            letters[at++] = char.ToLowerInvariant(name[i]);
        }

        return new string(letters, 0, at);
    }

    private static Dictionary<string, T> Words<T>(string[] keys, Dictionary<string, T> others)
        where T : struct, Enum
    {
        T[] values = Enum.GetValues<T>();
        for (int i = 0; i < keys.Length; i++)
        {
            others.Add(keys[i], values[i]);
        }

        return others;
    }
}
