using GraftWatch.Aftercare.Grafts;

namespace GraftWatch.Aftercare.Thresholds;

/// <summary>What a threshold is looked up for.</summary>
/// <param name="Species">Species key.</param>
/// <param name="Technique">Technique.</param>
/// <param name="Stage">Stage.</param>
/// <param name="Cover">Cover key.</param>
/// <param name="Tie">Tie key.</param>
/// <param name="Place">Place name.</param>
public readonly record struct Subject(string Species, Technique Technique, Stage Stage, string Cover, string Tie, string Place);

/// <summary>To whom an override applies; an empty list means everybody.</summary>
public sealed record Scope
{
    /// <summary>The scope of a plain value.</summary>
    public static Scope Everywhere { get; } = new();

    /// <summary>Species keys.</summary>
    public IReadOnlyList<string> Species { get; init; } = [];

    /// <summary>Techniques.</summary>
    public IReadOnlyList<Technique> Techniques { get; init; } = [];

    /// <summary>Stages.</summary>
    public IReadOnlyList<Stage> Stages { get; init; } = [];

    /// <summary>Cover keys.</summary>
    public IReadOnlyList<string> Covers { get; init; } = [];

    /// <summary>Tie keys.</summary>
    public IReadOnlyList<string> Ties { get; init; } = [];

    /// <summary>Place names.</summary>
    public IReadOnlyList<string> Places { get; init; } = [];

    /// <summary>How many of the six conditions are set; the most specific override wins, the later one of equals.</summary>
    public int Specificity =>
        (Species.Count > 0 ? 1 : 0) + (Techniques.Count > 0 ? 1 : 0) + (Stages.Count > 0 ? 1 : 0)
        + (Covers.Count > 0 ? 1 : 0) + (Ties.Count > 0 ? 1 : 0) + (Places.Count > 0 ? 1 : 0);

    /// <summary>Whether every condition that is set holds for the subject.</summary>
    public bool Matches(in Subject subject) =>
        (Species.Count == 0 || Species.Contains(subject.Species))
        && (Techniques.Count == 0 || Techniques.Contains(subject.Technique))
        && (Stages.Count == 0 || Stages.Contains(subject.Stage))
        && (Covers.Count == 0 || Covers.Contains(subject.Cover))
        && (Ties.Count == 0 || Ties.Contains(subject.Tie))
        && (Places.Count == 0 || Places.Contains(subject.Place));
}

/// <summary>One value of the file and where it stands.</summary>
/// <param name="Value">In the unit of its definition.</param>
/// <param name="Scope">Whom it applies to.</param>
/// <param name="File">File it came from.</param>
/// <param name="Line">Line in the file, from 1.</param>
/// <param name="Source">The source the file names for its table, or empty.</param>
public sealed record SettingInForce(double Value, Scope Scope, string File, int Line, string Source);

/// <summary>All thresholds and task windows of one file, with overrides; the most specific one that matches wins.</summary>
public sealed class ThresholdSet
{
    private readonly IReadOnlyDictionary<string, IReadOnlyList<SettingInForce>> settings;

    /// <summary>Takes the values of a file that has been checked: every defined key has an unscoped value.</summary>
    /// <param name="settings">By key, in file order.</param>
    public ThresholdSet(IReadOnlyDictionary<string, IReadOnlyList<SettingInForce>> settings) => this.settings = settings;

    /// <summary>Every key with its values.</summary>
    public IReadOnlyDictionary<string, IReadOnlyList<SettingInForce>> All => settings;

    /// <summary>The value in force and where it came from.</summary>
    /// <exception cref="KeyNotFoundException">The key is not defined: a fault of the program, not of the file.</exception>
    public SettingInForce Find(string key, in Subject subject)
    {
        SettingInForce? best = null;
        foreach (SettingInForce candidate in settings[key])
        {
            if (candidate.Scope.Matches(subject) && (best is null || candidate.Scope.Specificity >= best.Scope.Specificity))
            {
                best = candidate;
            }
        }

        return best ?? throw new KeyNotFoundException($"{key} has no value for everybody.");
    }

    /// <summary>The number in force.</summary>
    public double Number(string key, in Subject subject) => Find(key, subject).Value;

    /// <summary>The stage in force.</summary>
    public Stage StageOf(string key, in Subject subject) => (Stage)(int)Number(key, subject);

    /// <summary>The trio <c>prefix.note</c>, <c>prefix.act</c>, <c>prefix.urgent</c>.</summary>
    public Levels Levels(string prefix, in Subject subject) => new(
        Number(prefix + ".note", subject), Number(prefix + ".act", subject), Number(prefix + ".urgent", subject));
}

/// <summary>A trio of levels in one unit.</summary>
/// <param name="Note">Worth knowing.</param>
/// <param name="Act">Work is due.</param>
/// <param name="Urgent">Work comes first.</param>
public readonly record struct Levels(double Note, double Act, double Urgent)
{
    /// <summary>The level a value reaches.</summary>
    /// <param name="value">In the unit of the levels; NaN reaches none.</param>
    /// <param name="direction">Which way danger lies.</param>
    public Level Of(double value, LevelDirection direction)
    {
        double sign = direction == LevelDirection.Falling ? -1 : 1;
        return sign * value >= sign * Urgent ? Level.Urgent
            : sign * value >= sign * Act ? Level.Act
            : sign * value >= sign * Note ? Level.Note
            : Level.None;
    }
}

/// <summary>How much a hazard or task matters.</summary>
public enum Level
{
    /// <summary>Fine.</summary>
    None = 0,

    /// <summary>Worth knowing.</summary>
    Note,

    /// <summary>Work is due.</summary>
    Act,

    /// <summary>Work comes first.</summary>
    Urgent,
}
