using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Letters.Links;
using GraftWatch.Letters.Wording;
using NodaTime;

namespace GraftWatch.Letters.Outline;

/// <summary>Puts a round into words, once, for every form of the letter.</summary>
internal sealed class OutlineBuilder
{
    private readonly Round round;
    private readonly LetterContext context;
    private readonly Dictionary<string, Hours> hoursByPlace = new(StringComparer.Ordinal);
    private readonly Hours firstHours;
    private readonly DateTimeZone firstZone;

    private OutlineBuilder(Round round, LetterContext context)
    {
        this.round = round;
        this.context = context;
        foreach (RoundPlace place in round.Places)
        {
            hoursByPlace.TryAdd(place.Place.Name, new Hours(round.Date, place.Place.Zone));
        }

        firstZone = round.Places.Count > 0 ? round.Places[0].Place.Zone : DateTimeZone.Utc;
        firstHours = new Hours(round.Date, firstZone);
    }

    /// <summary>Builds the outline.</summary>
    public static LetterOutline Build(Round round, LetterContext context)
    {
        ArgumentNullException.ThrowIfNull(round);
        ArgumentNullException.ThrowIfNull(context);
        var builder = new OutlineBuilder(round, context);
        var sections = new SectionBuilder(round, builder.firstHours, builder.HoursOf);
        return new LetterOutline(
            Hours.Long(round.Date),
            string.Join(", ", round.Places.Select(p => PlainWords.Name(p.Place.Name))),
            builder.NumberLine(),
            builder.Lead(),
            RoundState.IsBroken(round),
            builder.Weather(),
            [.. round.Advice.OrderBy(builder.PressingOf).Select(builder.Block)],
            [.. sections.Build().Where(s => s.Lines.Count > 0).Select(s => s with { Lines = [.. s.Lines.Select(Numbers.Hold)] })],
            builder.Closing());
    }

    private Hours HoursOf(string place) => hoursByPlace.GetValueOrDefault(place, firstHours);

    private string NumberLine()
    {
        string grower = PlainWords.Name(round.Grower);
        string kind = context.IsUrgentNote ? "Urgent note" : "Letter";
        return context.Number is { } number ? string.Create(CultureInfo.InvariantCulture, $"{kind} {number} for {grower}") : "For " + grower;
    }

    private string Lead()
    {
        var sentences = new List<string>();
        if (context.Notice.Length > 0)
        {
            sentences.Add(PlainWords.Sentence(context.Notice));
        }

        int unchecked_ = RoundState.UncheckedGrafts(round);
        if (RoundState.IsBroken(round))
        {
            sentences.Add("Part of this round could not be made: see “Not checked” below. Do not take a missing line for good news.");
        }

        if (round.Advice.Count == 0)
        {
            sentences.Add(RoundState.IsBroken(round) ? "There is no advice today."
                : round.NotChecked.Count == 0 ? "Nothing to do today: everything was checked and is fine."
                : "Nothing to do today among what could be checked; some things could not, see “Not checked” below.");
            return string.Join(' ', sentences);
        }

        var counts = round.Advice.GroupBy(PressingOf).OrderBy(g => g.Key)
            .Select(g => string.Create(CultureInfo.InvariantCulture, $"{g.Count()} {Words.Counted(g.Key)}"));
        sentences.Add(string.Join(", ", counts) + ".");
        if (Numbers.Minutes(round.Advice.Where(a => PressingOf(a) <= Pressing.Today && double.IsFinite(a.Minutes)).Sum(a => a.Minutes)) is { Length: > 0 } minutes)
        {
            sentences.Add($"What is urgent or for today takes {minutes}.");
        }

        if (UrgentOrder.Of(round, [.. round.Advice.OrderBy(PressingOf)]) is { } first)
        {
            sentences.Add(first);
        }

        if (unchecked_ > 0 && !RoundState.IsBroken(round))
        {
            sentences.Add(Numbers.Count(unchecked_, "graft was", "grafts were") + " not fully checked.");
        }

        return string.Join(' ', sentences);
    }

    private Pressing PressingOf(Advice advice) =>
        PressingAdvice.Of(advice, round.Date, round.Places.FirstOrDefault(p => p.Place.Name == advice.Place)?.Place.Zone ?? firstZone);

    private string Weather()
    {
        string[] parts = [.. new[] { Extreme(Hazard.Heat, "°C", highest: true), Extreme(Hazard.Frost, "°C", highest: false), Extreme(Hazard.Wind, "m/s", highest: true) }
            .Where(p => p.Length > 0)];
        return parts.Length == 0 ? string.Empty : "At your unions, if nothing is done: " + string.Join("; ", parts) + ".";
    }

    private string Extreme(Hazard hazard, string unit, bool highest)
    {
        var values = round.Advice.Where(a => a.Hazard == hazard)
            .SelectMany(a => a.Reasons.Where(r => r.Unit == unit).Select(r => (r.Quantity, Value: r.Without, r.At, Hours: HoursOf(a.Place))))
            .Concat(round.Fine.Where(f => f.Hazard == hazard && f.Unit == unit).Select(f => (f.Quantity, f.Value, f.At, Hours: firstHours)))
            .Where(v => double.IsFinite(v.Value))
            .ToList();
        if (values.Count == 0)
        {
            return string.Empty;
        }

        (string quantity, double value, Instant at, Hours hours) = highest ? values.MaxBy(v => v.Value) : values.MinBy(v => v.Value);
        return FarFromHarm.Is(hazard, value, unit) ? string.Empty
            : $"{(highest ? "highest" : "lowest")} {PlainWords.Name(quantity)} {Numbers.Format(value, unit, round.Units, hazard == Hazard.Frost)} ({hours.At(at)})";
    }

    private WorkBlock Block(Advice advice, int index)
    {
        Hours hours = HoursOf(advice.Place);
        var facts = new List<Fact> { new("Where", Where(advice)) };
        if (advice.Action is not (WorkAction.Know or WorkAction.Wait) || (advice.DoFrom ?? advice.DoBy) is not null)
        {
            facts.Add(new("When", When(advice, hours, round.Now)));
        }

        if (PlainWords.Sentence(advice.Why) is { Length: > 0 } sentence && Numbers.Hold(sentence) is var why)
        {
            facts.Add(new("Why", why));
        }

        return new WorkBlock(
            index + 1, PressingOf(advice), Numbers.Hold(PlainWords.Sentence(advice.Text)), facts,
            [.. advice.Reasons.Select(r => Number(r, hours, advice.Hazard == Hazard.Frost))], Needs(advice), LinksOf(advice), advice);
    }

    private List<Fact> Needs(Advice advice)
    {
        var needs = new List<Fact>();
        if (advice.Probability is { } probability)
        {
            needs.Add(new("Chance", Numbers.Percent(probability) + " of the forecast runs reach this level"));
        }

        if (advice.Materials.Count > 0)
        {
            needs.Add(new("Bring", Numbers.Hold(string.Join(", ", advice.Materials.Select(PlainWords.Name)))));
        }

        if (Numbers.Minutes(advice.Minutes) is { Length: > 0 } minutes)
        {
            needs.Add(new("Takes", minutes));
        }

        if (advice.OpenSince is { } since && since < round.Date)
        {
            needs.Add(new("Open", "since " + Hours.Short(since)));
        }

        return needs;
    }

    private string Where(Advice advice)
    {
        string where = PlainWords.Name(advice.Where);
        string place = round.Places.Count > 1 ? PlainWords.Name(advice.Place) : string.Empty;
        string start = string.Join(", ", new[] { place, where }.Where(s => s.Length > 0));
        string labels = LabelList.Fold(advice.Grafts);
        string unions = Numbers.Count(advice.Unions, "union", "unions");
        unions += advice.ToldUnions > 0 ? string.Create(CultureInfo.InvariantCulture, $"; {advice.ToldUnions} more told before") : string.Empty;
        return string.Join(": ", new[] { start, labels }.Where(s => s.Length > 0)) + $" ({unions})";
    }

    private static string When(Advice advice, Hours hours, Instant now) => (advice.DoFrom, advice.DoBy) switch
    {
        ({ } from, { } by) => $"from {hours.At(from)} {hours.Until(by)}",
        ({ } from, null) => $"from {hours.At(from)}",
        (null, { } by) => hours.Before(by, now),
        _ => advice.Level == Level.Urgent ? "at once" : "no fixed hour",
    };

    private ReasonLine Number(Reason reason, Hours hours, bool fine) => new(
        Capital(PlainWords.Name(reason.Quantity)),
        hours.At(reason.At),
        Numbers.Format(reason.Without, reason.Unit, round.Units, fine),
        reason.With is { } with ? Numbers.Format(with, reason.Unit, round.Units, fine) : null,
        Numbers.Format(reason.Threshold, reason.Unit, round.Units, fine) + Words.Step(reason.Step));

    private WorkLinks? LinksOf(Advice advice)
    {
        if (context.Links is not { } links || Words.Work(advice.Action, advice.Unions) is null || !ActionLinks.CanHold(advice.Id))
        {
            return null;
        }

        Uri Make(WorkAnswer answer) => links.For(new ActionLink(answer, context.Grower, round.Date, advice.Id, context.LinksEnd));
        return new WorkLinks(Make(WorkAnswer.Done), Make(WorkAnswer.PutOff), Make(WorkAnswer.NotNeeded));
    }

    private List<ClosingLine> Closing()
    {
        var lines = new List<ClosingLine>
        {
            new("Temperatures, dates and chances in this letter are estimates from a forecast and a model. Look at the tree before you cut, spray or burn."),
        };
        if (context.HowToMark.Length > 0 && context.Links is null)
        {
            lines.Add(new(PlainWords.Sentence(context.HowToMark)));
        }

        if (context.Links is { } links)
        {
            var page = new ActionLink(WorkAnswer.Page, context.Grower, round.Date, string.Empty, context.LinksEnd);
            var stop = new ActionLink(WorkAnswer.Stop, context.Grower, round.Date, string.Empty, context.StopEnds);
            lines.Add(new("The whole day on one page, and what you marked:", links.For(page)));
            lines.Add(new("Stop these letters (nothing is deleted, you can start them again):", links.For(stop)));
        }
        else if (context.ReplyTo.Length > 0)
        {
            lines.Add(new("To stop these letters, reply to this one and say so."));
        }

        return lines;
    }

    private static string Capital(string text) => text.Length == 0 ? text : char.ToUpperInvariant(text[0]) + text[1..];
}
