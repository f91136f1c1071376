using System.Collections.Concurrent;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Letters;
using GraftWatch.Letters.Outline;
using GraftWatch.Pages.Plan;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Pages.Today;

/// <summary>A grower's round of today as the pages keep it, with what is looked up in it again and again.</summary>
/// <param name="Grower">Whose.</param>
/// <param name="Request">What it was computed from.</param>
/// <param name="Round">The round.</param>
internal sealed record GrowerDay(Grower Grower, RoundRequest Request, Round Round)
{
    private static readonly LetterContext OnPage = new() { HowToMark = string.Empty };
    private readonly Lazy<Dictionary<string, GraftStage>> stages = new(() => Round.Stages.ToDictionary(stage => stage.Graft, StringComparer.Ordinal));
    private readonly Lazy<ILookup<string, Advice>> advice = new(() => Round.Advice.SelectMany(line => line.Grafts.Select(graft => (graft, line))).ToLookup(pair => pair.graft, pair => pair.line, StringComparer.Ordinal));

    private readonly Lazy<LetterOutline> outline = new(() => LetterOutline.Of(Round, OnPage));
    private readonly ConcurrentDictionary<(string Place, string Block), WorstSun?> suns = new();

    /// <summary>When the weather was asked for.</summary>
    internal required Instant WeatherAt { get; init; }

    /// <summary>What the store's mark was when it was computed.</summary>
    internal required string Mark { get; init; }

    /// <summary>What is wrong with the grower's register file; empty when nothing is.</summary>
    internal string RegisterTrouble { get; init; } = string.Empty;

    /// <summary>Whether something changed since and it is being computed anew.</summary>
    internal bool IsBehind { get; init; }

    /// <summary>The round in the letter's words.</summary>
    internal LetterOutline Outline => outline.Value;

    /// <summary>Where a graft stands; null when it could not be computed.</summary>
    internal GraftStage? StageOf(string graft) => stages.Value.GetValueOrDefault(graft);

    /// <summary>The lines of the round about a graft.</summary>
    internal IEnumerable<Advice> AdviceOf(string graft) => advice.Value[graft];

    /// <summary>Where the sun stands at a block's worst hour; found once a round.</summary>
    internal WorstSun? WorstSunOf(string place, string block, Func<WorstSun?> find) => suns.GetOrAdd((place, block), _ => find());

    /// <summary>A line by its id; null when the round has none.</summary>
    internal Advice? Find(string id) => Round.Advice.FirstOrDefault(line => line.Id == id);

    /// <summary>The zone of a place of the round; the grower's when it is not among them.</summary>
    internal DateTimeZone ZoneOf(string place) => Round.Places.FirstOrDefault(candidate => candidate.Place.Name == place)?.Place.Zone ?? Grower.Zone;
}
