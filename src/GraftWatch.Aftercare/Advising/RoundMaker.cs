using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Outlook;
using GraftWatch.Aftercare.Tasks;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>Makes a round: climate at each union, healing, hazards, remedies, dated work, grouped into advice.</summary>
public static class RoundMaker
{
    /// <summary>Computes one round. Never fails because of one graft: what cannot be computed is listed as not checked.</summary>
    /// <param name="request">Places, weather, register, handbook and what was said before.</param>
    /// <returns>The round; the order of the register changes only the walking order within lines.</returns>
    public static Round Make(RoundRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        return new RoundRun(request).Make();
    }
}

/// <summary>One run of the maker: the boards it fills.</summary>
internal sealed class RoundRun
{
    private readonly RoundRequest request;
    private readonly HazardDesk desk;
    private readonly GraftReader reader;
    private readonly SaidRules said;
    private readonly AdviceBoard board;
    private readonly FineBoard fine = new();
    private readonly List<NotChecked> notChecked = [];
    private readonly List<GraftStage> stages = [];
    private readonly List<GraftView> views = [];
    private readonly List<WorkItem> items = [];
    private readonly HazardWork hazards;

    /// <summary>Takes the request.</summary>
    internal RoundRun(RoundRequest request)
    {
        this.request = request;
        desk = new HazardDesk(request.Handbook);
        reader = new GraftReader(request);
        said = new SaidRules(request.Said, request.Date, request.Handbook.Thresholds);
        board = new AdviceBoard(request.Handbook, request.Units, request.Date, request.Told);
        hazards = new HazardWork(desk, new EnsembleWeigher(desk, request.Places, request.Now), request.Value, fine, notChecked, request.Date);
    }

    /// <summary>The grafts that were read, in the order of the register.</summary>
    internal IReadOnlyList<GraftView> Views => views;

    /// <summary>What was judged.</summary>
    internal HazardDesk Desk => desk;

    /// <summary>Makes the round.</summary>
    internal Round Make()
    {
        Dictionary<string, PlaceClimate> climates = Climates(out Dictionary<string, string> troubles);
        for (int i = 0; i < request.Grafts.Count; i++)
        {
            Graft graft = request.Grafts[i];
            if (climates.TryGetValue(graft.Place, out PlaceClimate? climate))
            {
                Guarded(graft, i, climate);
            }
            else
            {
                Skip(graft, troubles.GetValueOrDefault(graft.Place, $"its place “{graft.Place}” is not among the places of this round"));
            }
        }

        return new Round
        {
            Date = request.Date,
            Now = request.Now,
            Grower = request.Grower,
            Units = request.Units,
            Places = [.. request.Places.Select(place => new RoundPlace(place.Place, place.Forecast))],
            Advice = board.Lines(),
            Stages = stages,
            Fine = fine.All,
            NotChecked = NotCheckedBoard.Gather(notChecked, request.Grafts.Count),
            Assumed = Assumptions.Of(request, views),
            Planned = [.. request.Planned.Select(plan => Outlook(plan, climates, troubles))],
            Outlook = UnionPicture.Of(views, items, desk),
        };
    }

    // A plan that cannot be judged says so itself: nothing that grows was left unchecked.
    private GraftingOutlook Outlook(PlannedGrafting plan, Dictionary<string, PlaceClimate> climates, Dictionary<string, string> troubles)
    {
        if (!request.Handbook.Species.TryGetValue(plan.Species, out SpeciesTraits? species))
        {
            return OutlookMaker.Unjudged(plan, null, $"{plan.Species} is not in species.toml");
        }

        if (!climates.TryGetValue(plan.Place, out PlaceClimate? climate))
        {
            return OutlookMaker.Unjudged(plan, species, troubles.GetValueOrDefault(plan.Place, $"{plan.Place} is not among the places of this round"));
        }

        try
        {
            return OutlookMaker.Make(plan, species, climate, request.Handbook.Thresholds, request.Date);
        }
        catch (Exception unexpected) when (unexpected is not OutOfMemoryException)
        {
            return OutlookMaker.Unjudged(plan, species, $"the program failed on it ({unexpected.GetType().Name}); please report this");
        }
    }

    private Dictionary<string, PlaceClimate> Climates(out Dictionary<string, string> troubles)
    {
        var climates = new Dictionary<string, PlaceClimate>(StringComparer.Ordinal);
        troubles = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (PlaceWeather place in request.Places)
        {
            if (place.Weather is null)
            {
                troubles[place.Place.Name] = place.Trouble ?? $"there is no weather for {place.Place.Name}";
                continue;
            }

            climates[place.Place.Name] = new PlaceClimate(place.Place, place.Weather, request.Now);
        }

        return climates;
    }

    // A fault in one graft's sums must not cost the others their letter; it is named, so that it is mended and not hidden.
    private void Guarded(Graft graft, int order, PlaceClimate climate)
    {
        if (reader.Fault(graft) is { } fault)
        {
            Skip(graft, fault);
            return;
        }

        int before = notChecked.Count;
        try
        {
            Take(reader.Read(graft, order, climate));
        }
        catch (Exception unexpected) when (unexpected is not OutOfMemoryException)
        {
            fine.Drop();
            notChecked.RemoveRange(before, notChecked.Count - before);
            Skip(graft, $"the program failed on it ({unexpected.GetType().Name}: {unexpected.Message.TrimEnd('.')}); please report this");
        }
    }

    private void Take(GraftView view)
    {
        List<WorkItem> found = [.. hazards.At(view), .. Dated(view)];
        List<WorkItem> allowed = [.. hazards.Shared.Join([.. found.Select(said.Apply).OfType<WorkItem>()])];
        GraftStage stage = StageOf(view);

        // Nothing above writes on a board for good: a graft whose sums fail leaves no half an entry.
        fine.Keep();
        stages.Add(stage);
        views.Add(view);
        items.AddRange(found.Where(item => item.Hazard == Hazard.Heat));
        allowed.ForEach(board.Add);
    }

    private IEnumerable<WorkItem> Dated(GraftView view)
    {
        var context = new TaskContext(view, request.Date, desk, action => said.Answered(view.Graft.Label, action));
        WorkHours hours = WorkHours.Of(request.Handbook.Thresholds, view.Subject);
        DateTimeZone zone = view.Climate.Place.Zone;
        if (TaskCalendar.WaterUnknown(context) is { } why)
        {
            notChecked.Add(new NotChecked(view.Graft.Label, null, why, "watering"));
        }

        foreach (DatedTask task in TaskCalendar.Due(context))
        {
            // What can wait is said on visit days; work that was due then and is still open is said on, as a note.
            bool stillOpen = task.Level >= Level.Act && task.By <= context.NextVisit && said.IsOpen(view.Graft.Label, task.Action);
            if ((context.Said(task) ?? (stillOpen ? Level.Note : null)) is not { } level)
            {
                continue;
            }

            Instant by = hours.EndOf(LocalDate.Max(task.By, request.Date), request.Now, zone);
            yield return new WorkItem
            {
                View = view,
                Action = task.Action,
                Level = level,
                Kind = task.Kind,
                DoBy = task.Action is WorkAction.Know or WorkAction.Wait ? null : by,
                Task = task,
            };
        }
    }

    // A graft that was not computed has no stage.
    private void Skip(Graft graft, string why) => notChecked.Add(new NotChecked(graft.Label, null, why));

    private GraftStage StageOf(GraftView view)
    {
        Stage? next = view.Stage switch
        {
            Stage.Failed or Stage.Established => null,
            _ => view.Stage + 1,
        };
        double days = view.Path.IsKnown ? view.Clock.Days : double.NaN;
        if (next is not { } then)
        {
            return new GraftStage(view.Graft.Label, view.Stage, days, null, null, null, null);
        }

        double spread = request.Handbook.Thresholds.Number("healing.clock.spread", view.Subject);
        (Instant? early, Instant? likely, Instant? late) = view.Clock.Begins(then, view.Plan, view.Path, view.MadeAt, spread);
        return new GraftStage(view.Graft.Label, view.Stage, days, next, Date(early), Date(likely), Date(late));

        LocalDate? Date(Instant? at) => at is { } instant
            ? LocalDate.Max(instant.InZone(view.Climate.Place.Zone).Date, request.Date)
            : null;
    }
}
