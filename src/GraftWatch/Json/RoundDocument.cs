using System.Text.Json.Serialization;

namespace GraftWatch.Json;

/// <summary>A round as other programs read it; docs/round.schema.json describes it. Fields may be added, none is taken away.</summary>
internal sealed record RoundDocument(
    string Date,
    string Now,
    string Grower,
    string Units,
    IReadOnlyList<PlaceDocument> Places,
    IReadOnlyList<AdviceDocument> Advice,
    IReadOnlyList<StageDocument> Stages,
    IReadOnlyList<FineDocument> Fine,
    IReadOnlyList<NotCheckedDocument> NotChecked,
    IReadOnlyList<string> Assumed,
    IReadOnlyList<PlannedDocument> Planned);

internal sealed record PlaceDocument(string Name, double Latitude, double Longitude, double ElevationM, string Zone, ForecastDocument Forecast);

internal sealed record ForecastDocument(string Source, string Credit, string? IssuedAt, double? AgeHours, string From, string To, IReadOnlyList<string> Gaps);

internal sealed record AdviceDocument(
    string Id,
    string Action,
    string? Hazard,
    string Level,
    string Place,
    string Where,
    IReadOnlyList<string> Grafts,
    int Unions,
    string? DoFrom,
    string? DoBy,
    IReadOnlyList<ReasonDocument> Reason,
    double? Probability,
    IReadOnlyList<string> Materials,
    double Minutes,
    CapDocument Cap,
    string Text,
    string Why,
    IReadOnlyList<string> Cautions,
    string? OpenSince);

internal sealed record ReasonDocument(string Quantity, string Unit, string At, double? Without, double? With, double? Threshold);

internal sealed record CapDocument(string Severity, string Urgency, string Certainty);

internal sealed record StageDocument(string Graft, string Stage, double? HealingDays, string? NextStage, ExpectedDocument? Expected);

internal sealed record ExpectedDocument(string? Early, string? Likely, string? Late);

internal sealed record FineDocument(string Hazard, WorstDocument Worst);

internal sealed record WorstDocument(string Quantity, string Unit, double? Value, string Graft, string At);

internal sealed record NotCheckedDocument(string Graft, string? Hazard, string? Task, string Why);

internal sealed record PlannedDocument(
    string Place, string Species, string Technique, IReadOnlyList<PlannedDayDocument> Days, string Stock, string Scion, string Text);

internal sealed record PlannedDayDocument(string Date, double? Score, bool Good, IReadOnlyList<string> Against);

[JsonSourceGenerationOptions(PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase, WriteIndented = true)]
[JsonSerializable(typeof(RoundDocument))]
internal sealed partial class RoundDocumentContext : JsonSerializerContext;
