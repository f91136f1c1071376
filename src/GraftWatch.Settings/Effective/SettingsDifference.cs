using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Settings.Effective;

/// <summary>What an edit changed, in words.</summary>
public static class SettingsDifference
{
    /// <summary>What differs between two handbooks, by path.</summary>
    public static IReadOnlyList<SettingChange> Between(Handbook before, Handbook after) => Between(FlatSettings.Of(before), FlatSettings.Of(after));

    /// <summary>What differs between two installations, by path.</summary>
    public static IReadOnlyList<SettingChange> Between(GraftWatchSettings before, GraftWatchSettings after) => Between(FlatSettings.Of(before), FlatSettings.Of(after));

    private static List<SettingChange> Between(IReadOnlyDictionary<string, string> before, IReadOnlyDictionary<string, string> after)
    {
        var changes = new List<SettingChange>();
        foreach ((string path, string value) in after)
        {
            string? old = before.GetValueOrDefault(path);
            if (old != value)
            {
                changes.Add(new SettingChange(path, old, value));
            }
        }

        changes.AddRange(before.Where(b => !after.ContainsKey(b.Key)).Select(b => new SettingChange(b.Key, b.Value, null)));
        return changes;
    }
}

/// <summary>One value that changed.</summary>
/// <param name="Path">Where it stands, with whom it applies to in parentheses.</param>
/// <param name="Before">Value before; null when it is new.</param>
/// <param name="After">Value now; null when it is gone.</param>
public sealed record SettingChange(string Path, string? Before, string? After)
{
    /// <inheritdoc/>
    public override string ToString() => (Before, After) switch
    {
        (null, _) => $"{Path}: new, {After}",
        (_, null) => $"{Path}: gone, was {Before}",
        _ => $"{Path}: {Before} → {After}",
    };
}
