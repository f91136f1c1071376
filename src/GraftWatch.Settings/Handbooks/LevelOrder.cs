using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Settings.Faults;

namespace GraftWatch.Settings.Handbooks;

/// <summary>Checks that note, act and urgent stand in the order of danger, and windows end after they begin, for every graft there can be, exceptions included.</summary>
/// <remarks>
/// Exceptions that overlap may each be right and wrong together. So every meeting of up to three exceptions that touch a group is
/// tried with a graft they all apply to; more than that cannot decide three values.
/// </remarks>
internal static class LevelOrder
{
    private const int MostForTriples = 24;

    private static readonly string[] Levels = [".note", ".act", ".urgent"];

    private static readonly string[] Window = [".from", ".by"];

    /// <summary>Checks every group of which all values could be read.</summary>
    internal static void Check(IReadOnlyDictionary<string, IReadOnlyList<PlacedSetting>> settings, HashSet<string> unread, FaultList faults)
    {
        foreach (SettingDefinition last in SettingDefinitions.All)
        {
            string group = last.Key[..Math.Max(0, last.Key.LastIndexOf('.'))];
            if (last.Direction != LevelDirection.None && last.Key.EndsWith(".urgent", StringComparison.Ordinal))
            {
                CheckGroup(settings, last, group, Levels, unread, faults);
            }
            else if (last.Unit is UnitKind.DurationDays or UnitKind.DurationHours && last.Key.EndsWith(".by", StringComparison.Ordinal))
            {
                CheckGroup(settings, last, group, Window, unread, faults);
            }
        }
    }

    private static void CheckGroup(IReadOnlyDictionary<string, IReadOnlyList<PlacedSetting>> settings, SettingDefinition definition, string group, string[] names, HashSet<string> unread, FaultList faults)
    {
        string[] keys = names.Select(n => group + n).ToArray();
        if (keys.Any(k => unread.Contains(k) || !settings.TryGetValue(k, out IReadOnlyList<PlacedSetting>? values) || values.All(v => v.Setting.Scope.Specificity > 0)))
        {
            return;
        }

        PlacedSetting[] all = keys.SelectMany(k => settings[k]).ToArray();
        var set = new ThresholdSet(keys.ToDictionary(k => k, k => (IReadOnlyList<SettingInForce>)settings[k].Select(p => p.Setting).ToList()));
        var said = new HashSet<(SettingInForce, SettingInForce)>();
        foreach (Subject subject in Meetings(all.Select(p => p.Setting.Scope).Where(s => s.Specificity > 0).Distinct().ToArray()))
        {
            for (int i = 1; i < keys.Length; i++)
            {
                SettingInForce low = set.Find(keys[i - 1], subject), high = set.Find(keys[i], subject);
                bool wrong = definition.Direction == LevelDirection.Falling ? low.Value < high.Value : low.Value > high.Value;
                if (wrong && said.Add((low, high)))
                {
                    Say(definition, group, names, i, low, high, all, faults);
                }
            }
        }
    }

    private static void Say(SettingDefinition definition, string group, string[] names, int step, SettingInForce lower, SettingInForce upper, PlacedSetting[] all, FaultList faults)
    {
        PlacedSetting low = all.First(p => ReferenceEquals(p.Setting, lower));
        PlacedSetting high = all.First(p => ReferenceEquals(p.Setting, upper));
        PlacedSetting at = high.FromThisFile && (upper.Line >= lower.Line || !low.FromThisFile) ? high : low.FromThisFile ? low : high;
        bool falling = definition.Direction == LevelDirection.Falling;
        string problem = $"{names[step][1..]} ({Shown(definition, high)}) is {(falling ? "above" : "below")} {names[step - 1][1..]} ({Shown(definition, low)}){ForWhom(low, high)}.";
        string order = string.Join(", ", names[..^1].Select(n => n[1..])) + " and " + names[^1][1..];
        faults.Add(at.Setting.Line, at.Column, at.Key, problem, $"Expected {order} of {group} to {(falling ? "fall" : "rise")} in this order, or be equal.");
    }

    private static string Shown(SettingDefinition definition, PlacedSetting placed) =>
        $"{ThresholdKeys.Show(definition, placed.Setting.Value)}, {(placed.FromThisFile ? $"line {placed.Setting.Line}" : "the shipped value")}";

    private static string ForWhom(PlacedSetting low, PlacedSetting high)
    {
        string[] words = new[] { low.Setting.Scope, high.Setting.Scope }.Where(s => s.Specificity > 0).Distinct().Select(ScopeWords.Of).ToArray();
        return words.Length == 0 ? string.Empty : " for " + string.Join(" with ", words);
    }

    private static IEnumerable<Subject> Meetings(Scope[] scopes)
    {
        Subject nobody = Nobody(scopes);
        yield return nobody;
        for (int i = 0; i < scopes.Length; i++)
        {
            yield return SubjectOf(scopes[i], nobody);
            for (int j = i + 1; j < scopes.Length; j++)
            {
                if (Meet(scopes[i], scopes[j]) is not { } both)
                {
                    continue;
                }

                yield return SubjectOf(both, nobody);
                for (int k = j + 1; k < scopes.Length && scopes.Length <= MostForTriples; k++)
                {
                    if (Meet(both, scopes[k]) is { } three)
                    {
                        yield return SubjectOf(three, nobody);
                    }
                }
            }
        }
    }

    private static Scope? Meet(Scope left, Scope right)
    {
        bool possible = true;
        var meeting = new Scope
        {
            Species = Common(left.Species, right.Species, ref possible),
            Techniques = Common(left.Techniques, right.Techniques, ref possible),
            Stages = Common(left.Stages, right.Stages, ref possible),
            Covers = Common(left.Covers, right.Covers, ref possible),
            Ties = Common(left.Ties, right.Ties, ref possible),
            Places = Common(left.Places, right.Places, ref possible),
        };
        return possible ? meeting : null;
    }

    private static IReadOnlyList<T> Common<T>(IReadOnlyList<T> left, IReadOnlyList<T> right, ref bool possible)
    {
        if (left.Count == 0 || right.Count == 0)
        {
            return left.Count == 0 ? right : left;
        }

        List<T> both = left.Intersect(right).ToList();
        possible &= both.Count > 0;
        return both;
    }

    // A graft that no exception names.
    private static Subject Nobody(Scope[] all) => new(
        string.Empty, Other(all.SelectMany(s => s.Techniques)), Other(all.SelectMany(s => s.Stages)), string.Empty, string.Empty, string.Empty);

    // Where the meeting leaves a thing open, nobody's is taken, so that only the meeting exceptions apply.
    private static Subject SubjectOf(Scope meeting, in Subject nobody) => new(
        meeting.Species.Count > 0 ? meeting.Species[0] : nobody.Species,
        meeting.Techniques.Count > 0 ? meeting.Techniques[0] : nobody.Technique,
        meeting.Stages.Count > 0 ? meeting.Stages[0] : nobody.Stage,
        meeting.Covers.Count > 0 ? meeting.Covers[0] : nobody.Cover,
        meeting.Ties.Count > 0 ? meeting.Ties[0] : nobody.Tie,
        meeting.Places.Count > 0 ? meeting.Places[0] : nobody.Place);

    private static T Other<T>(IEnumerable<T> named)
        where T : struct, Enum
    {
        var taken = named.ToHashSet();
        return Enum.GetValues<T>().FirstOrDefault(v => !taken.Contains(v));
    }
}
