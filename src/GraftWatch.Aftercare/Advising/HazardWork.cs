using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Remedies;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>From judged hazards to work: what must be decided now, what is worth knowing, what is fine.</summary>
internal sealed class HazardWork
{
    /// <summary>A spell that is over so soon can no longer be helped. [h], engineering choice.</summary>
    private const int UndecidableHours = 2;

    private readonly HazardDesk desk;
    private readonly RemedyChooser chooser;
    private readonly FineBoard fine;
    private readonly List<NotChecked> notChecked;

    /// <summary>Takes the desk and the boards it writes on.</summary>
    internal HazardWork(HazardDesk desk, FineBoard fine, List<NotChecked> notChecked)
    {
        this.desk = desk;
        this.fine = fine;
        this.notChecked = notChecked;
        chooser = new RemedyChooser(desk);
    }

    /// <summary>The work the weather asks for at one graft.</summary>
    internal IEnumerable<WorkItem> At(GraftView view)
    {
        foreach (HazardOutcome outcome in desk.Judge(view.Case))
        {
            if (outcome.NotChecked is { } why)
            {
                notChecked.Add(new NotChecked(view.Graft.Label, outcome.Hazard, why));
            }

            if (Decide(view, outcome) is { } item)
            {
                yield return item;
            }
            else if (outcome.NotChecked is null)
            {
                fine.Add(view, outcome);
            }
        }
    }

    private WorkItem? Decide(GraftView view, HazardOutcome outcome)
    {
        if (outcome.Spells.Count == 0)
        {
            return null;
        }

        PlaceClimate climate = view.Climate;
        int actLimit = Limit(climate, view.Subject, "advice.act_within");
        int urgentLimit = Limit(climate, view.Subject, "advice.urgent_within");
        int noteLimit = Limit(climate, view.Subject, "advice.note_within");
        Spell? first = null;
        Spell worst = default;
        var pressing = new List<Spell>();
        foreach (Spell spell in outcome.Spells)
        {
            if (spell.ToHour < climate.FirstAhead + UndecidableHours)
            {
                continue;
            }

            Level level = spell.FromHour >= noteLimit ? Level.None
                : spell.FromHour >= actLimit ? Level.Note
                : spell.FromHour >= urgentLimit && spell.Level == Level.Urgent ? Level.Act
                : spell.Level;
            if (level > worst.Level || (level == worst.Level && level > Level.None && IsWorse(spell.Peak, worst.Peak, outcome.Direction)))
            {
                worst = spell with { Level = level };
            }

            first = first is null && level >= Level.Act ? spell : first;
            if (level >= Level.Act)
            {
                pressing.Add(spell);
            }
        }

        return worst.Level switch
        {
            Level.None => null,
            Level.Note => Note(view, outcome, worst),
            _ => Remedied(view, outcome, worst, first!.Value, pressing, actLimit),
        };
    }

    private WorkItem Remedied(GraftView view, HazardOutcome outcome, Spell worst, Spell first, List<Spell> pressing, int actLimit)
    {
        RemedyChoice choice = chooser.Choose(view.Case, outcome, actLimit);
        WorkHours hours = WorkHours.Of(desk.Thresholds, view.Subject);
        Instant begins = view.Climate.StartOf(first.FromHour);
        Remedy? remedy = choice.Remedy;
        return new WorkItem
        {
            View = view,
            Action = remedy?.Action ?? HazardPhrases.WithoutRemedy(outcome),
            Hazard = outcome.Hazard,
            Level = worst.Level,
            Kind = remedy is null ? outcome.Part : remedy.Material + remedy.With + remedy.Also?.Action + remedy.Also?.Material,
            DoBy = outcome.Hazard == Hazard.Sap
                ? hours.EndOf(view.Climate.Now.InZone(view.Climate.Place.Zone).Date, view.Climate.Place.Zone)
                : hours.Before(begins, view.Climate.Now, view.Climate.Place.Zone),
            Outcome = outcome,
            Spell = worst,
            Choice = choice,
            OtherHours = [.. pressing.Where(spell => spell.PeakHour != worst.PeakHour).Select(spell => spell.PeakHour)],
        };
    }

    private static WorkItem Note(GraftView view, HazardOutcome outcome, Spell worst) => new()
    {
        View = view,
        Action = WorkAction.Know,
        Hazard = outcome.Hazard,
        Level = Level.Note,
        Kind = outcome.Part,
        Outcome = outcome,
        Spell = worst,
    };

    private int Limit(PlaceClimate climate, in Subject subject, string key) =>
        climate.FirstAhead + (int)desk.Thresholds.Number(key, subject);

    private static bool IsWorse(double value, double than, LevelDirection direction) =>
        direction == LevelDirection.Falling ? value < than : value > than;
}
