using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>All that a round is computed from.</summary>
public sealed record RoundRequest
{
    /// <summary>The local day.</summary>
    public required LocalDate Date { get; init; }

    /// <summary>The one instant of the run: hours that end at or before it are past.</summary>
    public required Instant Now { get; init; }

    /// <summary>The grower's name.</summary>
    public required string Grower { get; init; }

    /// <summary>Units of the texts.</summary>
    public UnitSystem Units { get; init; }

    /// <summary>Places with their weather; a place whose weather could not be had stands with null.</summary>
    public required IReadOnlyList<PlaceWeather> Places { get; init; }

    /// <summary>The register.</summary>
    public required IReadOnlyList<Graft> Grafts { get; init; }

    /// <summary>Species, materials and thresholds.</summary>
    public required Handbook Handbook { get; init; }

    /// <summary>What the grower saw and did, any order.</summary>
    public IReadOnlyList<Observation> Observations { get; init; } = [];

    /// <summary>What was said on earlier days and what became of it.</summary>
    public IReadOnlyList<SaidBefore> Said { get; init; } = [];

    /// <summary>Urgent news that was told: it is counted in its line and not listed again. Empty for a letter, which says everything.</summary>
    public IReadOnlySet<(WorkAction Action, Hazard? Hazard, string Graft)> Told { get; init; } = new HashSet<(WorkAction, Hazard?, string)>();

    /// <summary>What a visit costs and a graft is worth; null for plain levels.</summary>
    public ValueRule? Value { get; init; }

    /// <summary>Graftings planned: the round says which of the coming days suit them.</summary>
    public IReadOnlyList<PlannedGrafting> Planned { get; init; } = [];
}

/// <summary>A place and its hours.</summary>
/// <param name="Place">The place.</param>
/// <param name="Weather">Past and forecast hours; null when there are none.</param>
/// <param name="Forecast">Where they came from.</param>
/// <param name="Trouble">Why there are none; ends the sentence "not checked, because …". Null when all is well.</param>
public sealed record PlaceWeather(Place Place, HourlyWeather? Weather, ForecastInfo Forecast, string? Trouble = null)
{
    /// <summary>Other equally likely courses of the same hours, where the source gives an ensemble; each on the grid of <see cref="Weather"/> and whole by itself. Empty: a single run.</summary>
    public IReadOnlyList<HourlyWeather> Members { get; init; } = [];
}

/// <summary>Decision by value: work against a hazard is asked for when its probability exceeds cost / (value × share saved).</summary>
/// <param name="VisitCost">What the work at one union costs, in the grower's money. Above 0.</param>
/// <param name="GraftValue">What one graft is worth, in the same money. Above 0.</param>
/// <remarks>The cost-loss rule of [Murphy1977] and [Richardson2000]; used only where the forecast has members and therefore a probability.</remarks>
public sealed record ValueRule(double VisitCost, double GraftValue);

/// <summary>A grafting the grower plans.</summary>
/// <param name="Place">Name of the place.</param>
/// <param name="Species">Species key.</param>
/// <param name="Technique">Technique.</param>
public sealed record PlannedGrafting(string Place, string Species, Technique Technique);

/// <summary>An advice of an earlier day.</summary>
/// <param name="Action">What.</param>
/// <param name="Hazard">Which hazard, or null.</param>
/// <param name="Graft">Label.</param>
/// <param name="FirstSaid">First day it was said.</param>
/// <param name="LastLevel">Level it had when last said.</param>
/// <param name="State">What became of it.</param>
/// <param name="Until">For work put off: silent until this day.</param>
/// <param name="AnsweredOn">Day the grower answered; null when nobody knows, which counts as <paramref name="FirstSaid"/>.</param>
public sealed record SaidBefore(WorkAction Action, Hazard? Hazard, string Graft, LocalDate FirstSaid, Level LastLevel, SaidState State, LocalDate? Until = null, LocalDate? AnsweredOn = null);

/// <summary>What became of an advice.</summary>
public enum SaidState
{
    /// <summary>Nothing heard.</summary>
    Open = 0,

    /// <summary>Done.</summary>
    Done,

    /// <summary>Put off to a day.</summary>
    PutOff,

    /// <summary>The grower says it is not needed.</summary>
    NotNeeded,
}
