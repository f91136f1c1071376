using System.Text.Json;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Json;

/// <summary>Writes a round as JSON.</summary>
internal static class RoundJson
{
    internal static string Write(Round round) => JsonSerializer.Serialize(DocumentOf(round), RoundDocumentContext.Default.RoundDocument);

    internal static RoundDocument DocumentOf(Round round) => new(
        Day(round.Date),
        At(round.Now),
        round.Grower,
        round.Units == UnitSystem.Metric ? "metric" : "us",
        [.. round.Places.Select(place => Place(place, round.Now))],
        [.. round.Advice.Select(advice => Advice(advice, round.Now))],
        [.. round.Stages.Select(Stage)],
        [.. round.Fine.Select(fine => new FineDocument(
            Key(fine.Hazard), new WorstDocument(fine.Quantity, fine.Unit, Number(fine.Value), fine.Graft, At(fine.At))))],
        [.. round.NotChecked.Select(gap => new NotCheckedDocument(gap.Graft, gap.Hazard is { } hazard ? Key(hazard) : null, gap.Task.Length > 0 ? gap.Task : null, gap.Why))],
        round.Assumed,
        [.. round.Planned.Select(Planned)]);

    private static PlannedDocument Planned(GraftingOutlook plan) => new(
        plan.Place,
        plan.Species,
        TradeNames.Key(plan.Technique),
        [.. plan.Days.Select(day => new PlannedDayDocument(Day(day.Date), Number(day.ScoreFrac), day.IsGood, day.Against))],
        plan.Stock,
        plan.Scion,
        plan.Text);

    private static PlaceDocument Place(RoundPlace place, Instant now)
    {
        ForecastInfo forecast = place.Forecast;
        return new PlaceDocument(
            place.Place.Name,
            place.Place.Site.LatitudeDeg,
            place.Place.Site.LongitudeDeg,
            place.Place.Site.ElevationM,
            place.Place.Zone.Id,
            new ForecastDocument(
                forecast.Source,
                forecast.Credit,
                forecast.IssuedAt is { } issued ? At(issued) : null,
                forecast.IssuedAt is { } made ? Math.Round((now - made).TotalHours, 1) : null,
                At(forecast.From),
                At(forecast.To),
                forecast.Gaps));
    }

    private static AdviceDocument Advice(Advice advice, Instant now) => new(
        advice.Id,
        Key(advice.Action),
        advice.Hazard is { } hazard ? Key(hazard) : null,
        Key(advice.Level),
        advice.Place,
        advice.Where,
        advice.Grafts,
        advice.Unions,
        advice.DoFrom is { } from ? At(from) : null,
        advice.DoBy is { } by ? At(by) : null,
        [.. advice.Reasons.Select(reason => new ReasonDocument(
            reason.Quantity, reason.Unit, At(reason.At), Number(reason.Without), reason.With is { } with ? Number(with) : null, Number(reason.Threshold)))],
        advice.Probability is { } probability ? Number(probability) : null,
        advice.Materials,
        Math.Round(advice.Minutes, 1),
        CapWords.Of(advice, now),
        advice.Text,
        advice.Why,
        advice.Cautions,
        advice.OpenSince is { } since ? Day(since) : null);

    private static StageDocument Stage(GraftStage stage) => new(
        stage.Graft,
        Key(stage.Stage),
        Number(stage.HealingDays),
        stage.NextStage is { } next ? Key(next) : null,
        stage.NextStage is null ? null : new ExpectedDocument(DayOrNull(stage.Early), DayOrNull(stage.Likely), DayOrNull(stage.Late)));

    private static string Key<TEnum>(TEnum value)
        where TEnum : struct, Enum => JsonNamingPolicy.KebabCaseLower.ConvertName(value.ToString());

    private static string At(Instant instant) => InstantPattern.General.Format(instant);

    private static string Day(LocalDate date) => LocalDatePattern.Iso.Format(date);

    private static string? DayOrNull(LocalDate? date) => date is { } day ? Day(day) : null;

    // Three decimals are finer than any input; longer tails would only look exact.
    private static double? Number(double value) => double.IsFinite(value) ? Math.Round(value, 3) : null;
}
