using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Letters.Wording;
using NodaTime;

namespace GraftWatch.Letters.Outline;

/// <summary>The parts of a letter after the work.</summary>
internal sealed class SectionBuilder(Round round, Hours firstHours, Func<string, Hours> hoursOf)
{
    /// <summary>Heading of what could not be checked.</summary>
    public const string NotCheckedTitle = "Not checked";

    /// <summary>All parts in the order of the letter, empty ones included.</summary>
    public IEnumerable<OutlineSection> Build()
    {
        OutlineSection notChecked = NotChecked();
        if (notChecked.IsLoud)
        {
            yield return notChecked;
        }

        yield return new OutlineSection("Planned grafting", [.. round.Planned.Select(plan => PlannedLine.Of(plan, round))]);
        yield return Stages();
        yield return new OutlineSection("Checked and fine", [.. FineLines()]);
        if (!notChecked.IsLoud)
        {
            yield return notChecked;
        }

        yield return new OutlineSection("Taken for granted", [.. round.Assumed.Select(PlainWords.Sentence).Distinct(StringComparer.Ordinal)]);
        yield return new OutlineSection("Take care", [.. round.Advice.SelectMany(a => a.Cautions).Select(PlainWords.Sentence).Distinct(StringComparer.Ordinal)]);
        yield return new OutlineSection("Weather used", [.. Weather()]);
    }

    private OutlineSection NotChecked()
    {
        var lines = round.NotChecked
            .GroupBy(n => (n.Hazard, n.Task, Why: PlainWords.Sentence(n.Why)))
            .Select(group => NotCheckedLine(group.Key.Hazard, group.Key.Task, group.Key.Why, [.. group.Select(n => n.Graft).Where(g => g.Length > 0)]))
            .ToList();
        return new OutlineSection(NotCheckedTitle, lines, RoundState.IsBroken(round));
    }

    private static string NotCheckedLine(Hazard? hazard, string task, string why, List<string> grafts)
    {
        string what = hazard is { } h ? Words.Of(h) : task.Length > 0 ? char.ToUpperInvariant(task[0]) + task[1..] : "Nothing";
        string where = grafts.Count == 0 ? "the whole round" : $"{Numbers.Count(grafts.Count, "graft", "grafts")} ({LabelList.Fold(grafts)})";
        string start = hazard is null && task.Length == 0 ? $"{what} was checked for {where}" : $"{what} was not checked for {where}";
        return $"{start}, because {why.TrimEnd('.')}.";
    }

    private OutlineSection Stages()
    {
        var groups = round.Stages
            .GroupBy(s => (s.Stage, s.NextStage, s.Early, s.Likely, s.Late))
            .OrderBy(g => g.Key.Likely ?? LocalDate.MaxIsoValue)
            .ThenBy(g => g.Key.Stage)
            .ToList();
        var whole = groups.Select(g => StageLine(g.Key.Stage, g.Key.NextStage, (g.Key.Early, g.Key.Likely, g.Key.Late), LabelList.Fold([.. g.Select(s => s.Graft)]))).ToList();
        var counted = round.Stages.GroupBy(s => s.Stage).OrderBy(g => g.Key)
            .Select(g => $"{Numbers.Count(g.Count(), "graft", "grafts")} at {Words.Of(g.Key)}; the plain-text part lists each.").ToList();
        return new OutlineSection("Stages", whole, Brief: counted);
    }

    private string StageLine(Stage stage, Stage? next, (LocalDate? Early, LocalDate? Likely, LocalDate? Late) dates, string labels)
    {
        string start = $"{labels}: {Words.Of(stage)}";
        if (next is not { } then)
        {
            return start + ".";
        }

        if (dates.Likely is not { } likely)
        {
            return $"{start}; when {Words.Of(then)} begins cannot be said yet.";
        }

        string range = dates is { Early: { } early, Late: { } late } && early != late ? $" ({Hours.PlainFrom(round.Date, early)} to {Hours.PlainFrom(round.Date, late)})" : string.Empty;
        return $"{start}, then {Words.Of(then)} about {Hours.ShortFrom(round.Date, likely)}{range}.";
    }

    private IEnumerable<string> FineLines()
    {
        string[] far = [.. round.Fine.Where(FarFromHarm.Is).Select(fine => Words.Of(fine.Hazard).ToLowerInvariant()).Distinct(StringComparer.Ordinal)];
        IEnumerable<string> near = round.Fine.Where(fine => !FarFromHarm.Is(fine)).Select(Fine);
        return far.Length == 0 ? near : near.Append($"Nowhere near harm: {string.Join(", ", far)}.");
    }

    private string Fine(FineHazard fine) =>
        $"{Words.Of(fine.Hazard)}: worst {PlainWords.Name(fine.Quantity)} {Numbers.Format(fine.Value, fine.Unit, round.Units, fine.Hazard == Hazard.Frost)} at {PlainWords.Name(fine.Graft)}, {firstHours.At(fine.At)}.";

    private IEnumerable<string> Weather()
    {
        foreach (RoundPlace place in round.Places)
        {
            Hours hours = hoursOf(place.Place.Name);
            ForecastInfo forecast = place.Forecast;
            string made = forecast.IssuedAt is { } issued
                ? $"fetched {hours.At(issued)} ({Hours.Age(round.Now - issued)})"
                : "of unknown age";
            string source = PlainWords.Name(forecast.Source) is { Length: > 0 } name ? name : "no source";
            string span = forecast.From < forecast.To ? $"hours from {hours.At(forecast.From)} to {hours.At(forecast.To)}" : "no hours";
            yield return $"{PlainWords.Name(place.Place.Name)}: {source}, {made}, {span}.";
            foreach (string gap in forecast.Gaps)
            {
                string words = PlainWords.Sentence(gap);
                yield return words.StartsWith("Without ", StringComparison.Ordinal) ? "The source gave no " + words["Without ".Length..] : "Gap: " + words;
            }
        }

        if (round.Advice.Any(a => a.Hazard is not null) && round.Advice.All(a => a.Probability is null))
        {
            yield return "The forecast is a single run: it gives no chances.";
        }

        foreach (string credit in round.Places.Select(p => PlainWords.Sentence(p.Forecast.Credit)).Where(c => c.Length > 0).Distinct(StringComparer.Ordinal))
        {
            yield return credit;
        }

        string zones = string.Join(", ", round.Places.Select(p => p.Place.Zone.Id).Distinct(StringComparer.Ordinal));
        if (zones.Length > 0)
        {
            yield return string.Create(CultureInfo.InvariantCulture, $"Hours are local ({zones}).");
        }
    }
}
