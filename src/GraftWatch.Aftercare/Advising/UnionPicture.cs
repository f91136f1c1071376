using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Remedies;
using GraftWatch.Aftercare.Thresholds;

namespace GraftWatch.Aftercare.Advising;

/// <summary>Chooses the union the letter's picture shows: the one heat presses most, else the warmest one.</summary>
internal static class UnionPicture
{
    /// <summary>Days shown. [h], engineering choice.</summary>
    private const int ShownHours = 96;

    /// <summary>The picture's values; null when no union was computed.</summary>
    internal static UnionOutlook? Of(IReadOnlyList<GraftView> views, IReadOnlyList<WorkItem> heat, HazardDesk desk)
    {
        WorkItem? worst = heat.OrderByDescending(item => item.Level).ThenByDescending(item => item.Spell!.Value.Peak).FirstOrDefault();
        GraftView? view = worst?.View ?? Warmest(views, desk);
        if (view is null || view.Climate.FirstAhead >= view.Climate.Hours)
        {
            return null;
        }

        int from = view.Climate.FirstAhead;
        int count = Math.Min(ShownHours, view.Climate.Hours - from);
        Remedy? remedy = worst?.Choice?.Remedy;
        return new UnionOutlook
        {
            Graft = view.Graft.Label,
            Place = view.Graft.Place,
            At = [.. Enumerable.Range(from, count).Select(view.Climate.EndOf)],
            WithoutC = view.Case.Hours.CambiumC[from..(from + count)],
            WithC = remedy is null ? [] : remedy.After.Hours.CambiumC[from..(from + count)],
            Remedy = remedy is null ? string.Empty : Words(remedy),
            HeatLevelC = desk.Judge(view.Case, Hazard.Heat)?.Levels.Act ?? double.NaN,
            Marks = [.. Marks(view, desk, from, count)],
        };
    }

    private static GraftView? Warmest(IReadOnlyList<GraftView> views, HazardDesk desk) => views
        .Select(view => (View: view, Worst: desk.Judge(view.Case, Hazard.Heat)?.WorstValue ?? double.NaN))
        .Where(pair => !double.IsNaN(pair.Worst))
        .OrderByDescending(pair => pair.Worst)
        .ThenBy(pair => pair.View.Graft.Label, StringComparer.Ordinal)
        .Select(pair => pair.View)
        .FirstOrDefault();

    private static IEnumerable<OutlookMark> Marks(GraftView view, HazardDesk desk, int from, int count)
    {
        foreach (Hazard hazard in (Hazard[])[Hazard.Frost, Hazard.Wind])
        {
            foreach (Spell spell in desk.Judge(view.Case, hazard)?.Spells ?? [])
            {
                for (int hour = spell.FromHour; hour <= spell.ToHour && spell.Level >= Level.Act; hour++)
                {
                    if (hour >= from && hour < from + count)
                    {
                        yield return new OutlookMark(view.Climate.EndOf(hour), hazard);
                    }
                }
            }
        }
    }

    private static string Words(Remedy remedy)
    {
        string first = remedy.With.StartsWith("with ", StringComparison.Ordinal) ? remedy.With["with ".Length..] : remedy.With;
        return remedy.Also is { With: var also } ? first + " and " + also.Replace("with ", string.Empty, StringComparison.Ordinal) : first;
    }
}
