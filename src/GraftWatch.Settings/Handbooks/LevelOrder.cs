using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Settings.Faults;

namespace GraftWatch.Settings.Handbooks;

/// <summary>Checks that note, act and urgent stand in the order of danger for every graft there can be, exceptions included.</summary>
/// <remarks>
/// Exceptions that overlap may each be right and wrong together. So every meeting of up to three exceptions that touch a trio is
/// tried with a graft they all apply to; more than that cannot decide three values.
/// </remarks>
internal static class LevelOrder
{
    private const int MostForTriples = 24;

    private static readonly (string Lower, string Upper)[] Steps = [(".note", ".act"), (".act", ".urgent")];

    internal static void Check(IReadOnlyDictionary<string, IReadOnlyList<PlacedSetting>> settings, FaultList faults)
    {
        var said = new HashSet<(SettingInForce, SettingInForce)>();
        foreach (SettingDefinition act in SettingDefinitions.All.Where(d => d.Direction != LevelDirection.None && d.Key.EndsWith(".act", StringComparison.Ordinal)))
        {
            string trio = act.Key[..^4];
            string[] keys = [trio + ".note", act.Key, trio + ".urgent"];
            if (!keys.All(settings.ContainsKey))
            {
                continue;
            }

            PlacedSetting[] all = keys.SelectMany(k => settings[k]).ToArray();
            var set = new ThresholdSet(keys.ToDictionary(k => k, k => (IReadOnlyList<SettingInForce>)settings[k].Select(p => p.Setting).ToList()));
            foreach (Subject subject in Meetings(all.Select(p => p.Setting.Scope).Where(s => s.Specificity > 0).Distinct().ToArray()))
            {
                foreach ((string lower, string upper) in Steps)
                {
                    SettingInForce low = set.Find(trio + lower, subject), high = set.Find(trio + upper, subject);
                    bool wrong = act.Direction == LevelDirection.Rising ? low.Value > high.Value : low.Value < high.Value;
                    if (wrong && said.Add((low, high)))
                    {
                        Say(act, trio, (lower, low), (upper, high), all, faults);
                    }
                }
            }
        }
    }

    private static void Say(SettingDefinition definition, string trio, (string Name, SettingInForce Setting) lower, (string Name, SettingInForce Setting) upper, PlacedSetting[] all, FaultList faults)
    {
        PlacedSetting low = all.First(p => ReferenceEquals(p.Setting, lower.Setting));
        PlacedSetting high = all.First(p => ReferenceEquals(p.Setting, upper.Setting));
        PlacedSetting at = high.FromThisFile && (high.Setting.Line >= low.Setting.Line || !low.FromThisFile) ? high : low.FromThisFile ? low : high;
        bool rising = definition.Direction == LevelDirection.Rising;
        string scope = Merge(low, high);
        string problem = $"{upper.Name[1..]} ({ThresholdKeys.Show(definition, upper.Setting.Value)}, line {upper.Setting.Line}) is {(rising ? "below" : "above")} "
            + $"{lower.Name[1..]} ({ThresholdKeys.Show(definition, lower.Setting.Value)}, line {lower.Setting.Line}){scope}.";
        faults.Add(at.Setting.Line, at.Column, at.Key, problem, $"Expected note, act and urgent of {trio} to {(rising ? "rise" : "fall")} in this order, or be equal.");
    }

    private static string Merge(PlacedSetting low, PlacedSetting high)
    {
        string[] words = new[] { low.Setting.Scope, high.Setting.Scope }.Where(s => s.Specificity > 0).Distinct().Select(ScopeWords.Of).ToArray();
        return words.Length == 0 ? string.Empty : " for " + string.Join(" with ", words);
    }

    private static IEnumerable<Subject> Meetings(Scope[] scopes)
    {
        yield return SubjectOf(new Scope(), scopes);
        for (int i = 0; i < scopes.Length; i++)
        {
            yield return SubjectOf(scopes[i], scopes);
            for (int j = i + 1; j < scopes.Length; j++)
            {
                if (Meet(scopes[i], scopes[j]) is not { } both)
                {
                    continue;
                }

                yield return SubjectOf(both, scopes);
                for (int k = j + 1; k < scopes.Length && scopes.Length <= MostForTriples; k++)
                {
                    if (Meet(both, scopes[k]) is { } three)
                    {
                        yield return SubjectOf(three, scopes);
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

    // Where the meeting leaves a thing open, take one that no exception names, so that only the meeting exceptions apply.
    private static Subject SubjectOf(Scope meeting, Scope[] all) => new(
        meeting.Species.Count > 0 ? meeting.Species[0] : string.Empty,
        meeting.Techniques.Count > 0 ? meeting.Techniques[0] : Other(all.SelectMany(s => s.Techniques)),
        meeting.Stages.Count > 0 ? meeting.Stages[0] : Other(all.SelectMany(s => s.Stages)),
        meeting.Covers.Count > 0 ? meeting.Covers[0] : string.Empty,
        meeting.Ties.Count > 0 ? meeting.Ties[0] : string.Empty,
        meeting.Places.Count > 0 ? meeting.Places[0] : string.Empty);

    private static T Other<T>(IEnumerable<T> named)
        where T : struct, Enum
    {
        var taken = named.ToHashSet();
        return Enum.GetValues<T>().FirstOrDefault(v => !taken.Contains(v));
    }
}
