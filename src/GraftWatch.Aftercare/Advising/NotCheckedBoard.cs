namespace GraftWatch.Aftercare.Advising;

/// <summary>Gathers what could not be checked: what holds for every graft is said once.</summary>
internal static class NotCheckedBoard
{
    /// <summary>Gathers the entries.</summary>
    /// <param name="entries">One for each graft and hazard.</param>
    /// <param name="grafts">Number of grafts in the register.</param>
    internal static IReadOnlyList<NotChecked> Gather(IReadOnlyList<NotChecked> entries, int grafts)
    {
        var gathered = new List<NotChecked>();
        foreach (IGrouping<(Hazard? Hazard, string Why, string Task), NotChecked> group in entries.GroupBy(entry => (entry.Hazard, entry.Why, entry.Task)))
        {
            if (grafts > 1 && group.Count() == grafts)
            {
                gathered.Add(new NotChecked(string.Empty, group.Key.Hazard, group.Key.Why, group.Key.Task));
            }
            else
            {
                gathered.AddRange(group);
            }
        }

        return gathered;
    }
}
