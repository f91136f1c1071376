using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Remedies;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Risk;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>From judged hazards to work: what must be decided now, what is worth knowing, what is fine.</summary>
internal sealed class HazardWork
{
    /// <summary>A spell that is over so soon can no longer be helped. [h], engineering choice.</summary>
    private const int UndecidableHours = 2;

    /// <summary>Ends the kind of what cannot be helped any more: it never shares a line with what can.</summary>
    internal const string LateKind = ":late";

    /// <summary>Added to that where a cover was asked for before.</summary>
    internal const string AskedKind = ":asked";

    /// <summary>Ends the kind of work that does not pay.</summary>
    internal const string ValueKind = ":value";

    /// <summary>A note about a night or a gale is said this long before. [h], engineering choice.</summary>
    private const int SoonHours = 24;

    private readonly LocalDate today;
    private readonly HazardDesk desk;
    private readonly RemedyChooser chooser;
    private readonly EnsembleWeigher ensemble;
    private readonly ValueRule? value;
    private readonly FineBoard fine;
    private readonly List<NotChecked> notChecked;

    /// <summary>Takes the desk and the boards it writes on.</summary>
    internal HazardWork(HazardDesk desk, EnsembleWeigher ensemble, ValueRule? value, FineBoard fine, List<NotChecked> notChecked, LocalDate today)
    {
        this.today = today;
        this.desk = desk;
        this.ensemble = ensemble;
        this.value = value;
        this.fine = fine;
        this.notChecked = notChecked;
        chooser = new RemedyChooser(desk);
        Shared = new SharedWork(desk, chooser);
    }

    /// <summary>Joins work of one graft that several hazards ask for.</summary>
    internal SharedWork Shared { get; }

    /// <summary>The work the weather asks for at one graft.</summary>
    internal IEnumerable<WorkItem> At(GraftView view)
    {
        foreach (HazardOutcome outcome in desk.Judge(view.Case))
        {
            if (outcome.NotChecked is { } why)
            {
                notChecked.Add(new NotChecked(view.Graft.Label, outcome.Hazard, why));
            }

            WorkItem[] said = [.. Decide(view, outcome).Where(IsWorthSaying)];
            foreach (WorkItem item in said)
            {
                yield return ByValue(item);
            }

            if (said.Length == 0 && outcome.NotChecked is null && !outcome.ReachesWithin(view.Climate.FirstAhead + HourlyJudgement.DecidedHours))
            {
                fine.Add(view, outcome);
            }
        }
    }

    // What merely slows healing is not said every day; frost, wind and wet are said on their day.
    private bool IsWorthSaying(WorkItem item)
    {
        if (item.Level > Level.Note || item.Spell!.Value.Level > Level.Note)
        {
            return true;
        }

        PlaceClimate climate = item.View.Climate;
        bool soon = item.Spell.Value.FromHour < climate.FirstAhead + SoonHours;
        return item.Hazard is Hazard.Frost or Hazard.Wind or Hazard.Wet ? soon
            : (int)today.DayOfWeek == (int)desk.Thresholds.Number("advice.visit_weekday", item.View.Subject);
    }

    // What can still be helped, and beside it what cannot any more.
    private IEnumerable<WorkItem> Decide(GraftView view, HazardOutcome judged)
    {
        PlaceClimate climate = view.Climate;
        int actLimit = Limit(climate, view.Subject, "advice.act_within");
        Weighed weighed = ensemble.Has(climate.Place.Name)
            ? ensemble.Weigh(view.Case, judged, actLimit)
            : new Weighed(Level.Urgent, view.Case, judged, null);
        HazardOutcome outcome = weighed.Outcome;
        if (outcome.Spells.Count == 0)
        {
            yield break;
        }

        int urgentLimit = Limit(climate, view.Subject, "advice.urgent_within");
        Spell[] late = [.. outcome.Spells.Where(spell => spell.FromHour < actLimit && IsTooLate(outcome.Hazard, spell, climate.FirstAhead))];
        int noteLimit = Limit(climate, view.Subject, "advice.note_within");
        Spell? first = null;
        Spell worst = default;
        Level said = Level.None;
        var pressing = new List<Spell>();
        int helpedFrom = 0;
        foreach (Spell spell in outcome.Spells)
        {
            if (spell.ToHour < climate.FirstAhead + UndecidableHours || late.Contains(spell))
            {
                helpedFrom = Math.Max(helpedFrom, spell.ToHour + 1);
                continue;
            }

            Level level = spell.FromHour >= noteLimit || (spell.Level == Level.Note && spell.FromHour >= urgentLimit) ? Level.None
                : spell.FromHour >= actLimit ? Level.Note
                : spell.FromHour >= urgentLimit && spell.Level == Level.Urgent ? Level.Act
                : spell.Level;
            level = level > weighed.Highest ? weighed.Highest : level;
            if (level > said || (level == said && level > Level.None && IsWorse(spell.Peak, worst.Peak, outcome.Direction)))
            {
                worst = spell;
                said = level;
            }

            first = first is null && level >= Level.Act ? spell : first;
            if (level >= Level.Act)
            {
                pressing.Add(spell);
            }
        }

        if (late.Length > 0 && weighed.Highest >= Level.Act)
        {
            yield return Lost(view, weighed, late[0]);
        }

        if (said == Level.Note)
        {
            yield return Note(view, weighed, worst);
        }
        else if (said > Level.Note)
        {
            yield return Remedied(view, weighed, worst with { Level = said }, first!.Value, pressing, new HourRange(helpedFrom, actLimit));
        }
    }

    // A cover put on when the coldest hour is near saves nothing. Of the others only what is urgent is told: a mild spell that ends soon passes.
    private static bool IsTooLate(Hazard hazard, Spell spell, int ahead) => hazard switch
    {
        Hazard.Frost => spell.Level >= Level.Act && spell.PeakHour < ahead + UndecidableHours,
        Hazard.Heat or Hazard.Sun or Hazard.Drying or Hazard.Wind => spell.Level == Level.Urgent && spell.ToHour < ahead + UndecidableHours,
        _ => false,
    };

    private WorkItem Remedied(GraftView view, Weighed weighed, Spell worst, Spell first, List<Spell> pressing, HourRange within)
    {
        HazardOutcome outcome = weighed.Outcome;
        RemedyChoice choice = chooser.Choose(weighed.Union, outcome, within);
        WorkHours hours = WorkHours.Of(desk.Thresholds, view.Subject);
        Instant begins = view.Climate.StartOf(first.FromHour);
        Remedy? remedy = choice.Remedy;
        return new WorkItem
        {
            View = view,
            Action = remedy?.Action ?? HazardPhrases.WithoutRemedy(outcome),
            Hazard = outcome.Hazard,
            Level = worst.Level,
            Kind = remedy?.Kind ?? outcome.Part,
            DoBy = remedy is null && HazardPhrases.WithoutRemedy(outcome) == WorkAction.Know ? null
                : outcome.Part == "rain"
                ? hours.EndOf(today, Instant.Max(view.Climate.EndOf(worst.PeakHour), view.Climate.Now), view.Climate.Place.Zone)
                : outcome.Hazard == Hazard.Sap
                ? hours.EndOf(today, view.Climate.Now, view.Climate.Place.Zone)
                : hours.Before(begins, view.Climate.Now, view.Climate.Place.Zone),
            Outcome = outcome,
            Spell = worst,
            Choice = choice,
            HelpedFrom = within.From,
            Union = weighed.Union,
            Probability = weighed.Probability,
            OtherHours = [.. pressing.Where(spell => spell.PeakHour != worst.PeakHour).Select(spell => spell.PeakHour)],
        };
    }

    // The spell keeps the level it would have on its day, so that a warning ahead can be told from a mere note.
    private WorkItem Note(GraftView view, Weighed weighed, Spell worst) => new()
    {
        View = view,
        Action = WorkAction.Know,
        Hazard = weighed.Outcome.Hazard,
        Level = Level.Note,
        Kind = weighed.Outcome.Part,
        Outcome = weighed.Outcome,
        Spell = worst,
        Probability = weighed.Probability,
        EveIsAhead = WorkHours.Of(desk.Thresholds, view.Subject).Before(view.Climate.StartOf(worst.FromHour), view.Climate.Now, view.Climate.Place.Zone) > view.Climate.Now,
    };

    // The level is the spell's own, so that a loss stands where work would have stood.
    private static WorkItem Lost(GraftView view, Weighed weighed, Spell spell)
    {
        Level level = spell.Level > weighed.Highest ? weighed.Highest : spell.Level;
        return new WorkItem
        {
            View = view,
            Action = WorkAction.Know,
            Hazard = weighed.Outcome.Hazard,
            Level = level,
            Kind = weighed.Outcome.Part + LateKind,
            Outcome = weighed.Outcome,
            Spell = spell with { Level = level },
            Probability = weighed.Probability,
            TooLate = true,
        };
    }

    // Where the grower has put a price on visits and grafts, work is asked for only when it pays.
    private WorkItem ByValue(WorkItem item)
    {
        if (value is null || item.Probability is not { } probability || item.Level < Level.Act || item.Choice is not { Remedy: not null } choice)
        {
            return item;
        }

        double excess = Math.Abs(item.Spell!.Value.Peak - item.Outcome!.Levels.Act);
        double saved = choice.Clears ? 1 : excess > 0 ? Math.Clamp(Math.Abs(item.Spell.Value.Peak - choice.PeakAfter) / excess, 0.01, 1) : 1;
        return probability > CostLoss.ActFrom(value.VisitCost, value.GraftValue, saved)
            ? item
            : item with { Action = WorkAction.Know, Level = Level.Note, Kind = item.Kind + ValueKind, DoBy = null };
    }

    private int Limit(PlaceClimate climate, in Subject subject, string key) =>
        climate.FirstAhead + (int)desk.Thresholds.Number(key, subject);

    private static bool IsWorse(double value, double than, LevelDirection direction) =>
        direction == LevelDirection.Falling ? value < than : value > than;
}
