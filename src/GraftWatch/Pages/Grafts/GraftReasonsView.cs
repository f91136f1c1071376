using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Explaining;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Letters.Outline;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Today;

namespace GraftWatch.Pages.Grafts;

/// <summary>What is said of a graft today and why, and why the rest is not.</summary>
internal static class GraftReasonsView
{
    /// <summary>Writes it; nothing for a graft that could not be computed.</summary>
    internal static void Write(Html html, PageContext page, OneGraft one)
    {
        if (one.Reasons is not { } reasons)
        {
            return;
        }

        var days = new Days(page.Language, one.Hours?.Place.Zone ?? page.Grower.Zone);
        html.Leaf("h2", page.Say("graft.said"));
        Said(html, page, one, reasons);
        html.Leaf("h2", page.Say("graft.hazards"));
        using (html.In("dl"))
        {
            foreach (HazardReason hazard in reasons.Hazards)
            {
                html.Leaf("dt", page.Of(hazard.Hazard));
                html.Leaf("dd", Sentence(page, days, hazard));
            }
        }

        using (html.In("details"))
        {
            html.Leaf("summary", page.Say("graft.not-said"));
            using (html.In("dl"))
            {
                foreach (UnsaidAdvice unsaid in reasons.Unsaid)
                {
                    html.Leaf("dt", page.Of(unsaid.Advice.Action));
                    html.Leaf("dd", Because(page, unsaid));
                }

                foreach (NotDueWork work in reasons.NotDue)
                {
                    html.Leaf("dt", page.Of(work.Action));
                    html.Leaf("dd", work.Why, ("lang", page.English()));
                }
            }
        }
    }

    private static void Said(Html html, PageContext page, OneGraft one, GraftReasons reasons)
    {
        if (reasons.Said.Count == 0)
        {
            html.Paragraph(page.Say("graft.nothing-said"));
            return;
        }

        foreach (Advice advice in reasons.Said)
        {
            Pressing pressing = LetterOutline.PressingOf(advice, one.Request.Date, one.Hours?.Place.Zone ?? page.Grower.Zone);
            using (html.In("article", ("class", "line " + LineView.ClassOf(pressing))))
            {
                html.Leaf("p", page.Of(pressing), ("class", "pressing"));
                html.Leaf("h3", advice.Text, ("lang", page.English()));
                html.Leaf("p", advice.Why, ("lang", page.English()));
                if (advice.OpenSince is { } since)
                {
                    html.Paragraph(page.Say("graft.open-since", page.Days.Short(since)), "small");
                }
            }
        }
    }

    private static string Sentence(PageContext page, Days days, HazardReason hazard)
    {
        string worst = hazard.WorstAt is { } at
            ? page.Say("graft.worst", QuantityName(page, hazard.Quantity), page.Quantity(hazard.Worst, hazard.Unit), days.At(at))
            : page.Say("graft.no-value");
        string levels = LevelsOf(page, hazard);
        string line = hazard.Setting is { } setting
            ? page.Say("graft.setting", hazard.Key, setting.File, setting.Line.ToString(CultureInfo.InvariantCulture))
            : page.Say("graft.own-table");
        return hazard.Verdict switch
        {
            HazardVerdict.CannotMeet => page.Say("graft.cannot-meet", hazard.Why),
            HazardVerdict.NotChecked => page.Say("graft.not-checked", hazard.Why),
            HazardVerdict.Fine => page.Say("graft.fine", worst, levels, line),
            HazardVerdict.Reached => page.Say("graft.reached", page.Of(hazard.Reached), page.Count("graft.days", hazard.Days), days.At(hazard.From!.Value), days.At(hazard.To!.Value), worst, levels, line),
            _ => throw new System.Diagnostics.UnreachableException(),
        };
    }

    private static string LevelsOf(PageContext page, HazardReason hazard)
    {
        string[] levels =
        [
            .. new[] { (Level.Note, hazard.Levels.Note), (Level.Act, hazard.Levels.Act), (Level.Urgent, hazard.Levels.Urgent) }
                .Where(level => double.IsFinite(level.Item2))
                .Select(level => $"{page.Of(level.Item1)} {page.Quantity(level.Item2, hazard.Unit)}"),
        ];
        return levels.Length == 0 ? page.Say("graft.no-level") : string.Join(", ", levels);
    }

    private static string QuantityName(PageContext page, string quantity)
    {
        string key = "quantity." + quantity.Replace(' ', '-');
        return page.Words.Has(key) ? page.Say(key) : quantity;
    }

    private static string Because(PageContext page, UnsaidAdvice unsaid) => unsaid.Before switch
    {
        { State: SaidState.Done } before => page.Say("graft.because-done", page.Days.Short(before.AnsweredOn ?? before.FirstSaid)),
        { State: SaidState.NotNeeded } => page.Say("graft.because-not-needed"),
        { State: SaidState.PutOff, Until: { } until } => page.Say("graft.because-put-off", page.Days.Short(until)),
        { State: SaidState.PutOff } => page.Say("answer.put-off"),
        { State: SaidState.Open } before => page.Say("graft.because-said", page.Days.Short(before.FirstSaid)),
        null => page.Say("graft.because-other-work"),
        _ => throw new System.Diagnostics.UnreachableException(),
    };
}
