using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Grafts;

namespace GraftWatch.Records.Register;

/// <summary>What would change if one register took the place of another.</summary>
/// <param name="Added">Grafts that are new.</param>
/// <param name="Changed">Grafts whose record changes, as they would be.</param>
/// <param name="Removed">Grafts that the new register lacks.</param>
/// <param name="Unchanged">How many stay the same.</param>
public sealed record RegisterDifference(IReadOnlyList<Graft> Added, IReadOnlyList<Graft> Changed, IReadOnlyList<Graft> Removed, int Unchanged)
{
    /// <summary>Compares two registers by label.</summary>
    /// <param name="before">As it is.</param>
    /// <param name="after">As it would be; labels are unique.</param>
    public static RegisterDifference Between(IReadOnlyList<Graft> before, IReadOnlyList<Graft> after)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        Dictionary<string, Graft> known = before.ToDictionary(graft => graft.Label, StringComparer.Ordinal);
        var kept = after.Select(graft => graft.Label).ToHashSet(StringComparer.Ordinal);
        Graft[] added = [.. after.Where(graft => !known.ContainsKey(graft.Label))];
        Graft[] changed = [.. after.Where(graft => known.TryGetValue(graft.Label, out Graft? old) && !Same(old, graft))];
        return new RegisterDifference(added, changed, [.. before.Where(graft => !kept.Contains(graft.Label))], after.Count - added.Length - changed.Length);
    }

    /// <summary>Whether two records say the same, what was assumed included.</summary>
    public static bool Same(Graft x, Graft y) => GraftRows.Same(x, y);
}
