using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>One grower's advice for one local day.</summary>
public sealed record Round
{
    /// <summary>The local day.</summary>
    public required LocalDate Date { get; init; }

    /// <summary>The instant the round was computed for; hours before it are past.</summary>
    public required Instant Now { get; init; }

    /// <summary>The grower's name.</summary>
    public required string Grower { get; init; }

    /// <summary>Units the texts are written in.</summary>
    public required UnitSystem Units { get; init; }

    /// <summary>The places and the weather used.</summary>
    public required IReadOnlyList<RoundPlace> Places { get; init; }

    /// <summary>Work, most pressing first.</summary>
    public required IReadOnlyList<Advice> Advice { get; init; }

    /// <summary>Where each graft stands; a graft that could not be computed is not among them.</summary>
    public required IReadOnlyList<GraftStage> Stages { get; init; }

    /// <summary>Hazards that were checked and are fine, with the worst value of each.</summary>
    public required IReadOnlyList<FineHazard> Fine { get; init; }

    /// <summary>What could not be checked, and why.</summary>
    public required IReadOnlyList<NotChecked> NotChecked { get; init; }

    /// <summary>What was taken for granted, one sentence each.</summary>
    public IReadOnlyList<string> Assumed { get; init; } = [];

    /// <summary>The next days at the worst union, for the letter's picture; null when there is nothing to show.</summary>
    public UnionOutlook? Outlook { get; init; }

    /// <summary>How the coming days suit the graftings the grower plans; empty when none are planned.</summary>
    public IReadOnlyList<GraftingOutlook> Planned { get; init; } = [];
}

/// <summary>Units of the texts.</summary>
public enum UnitSystem
{
    /// <summary>°C, m/s shown as km/h, mm, cm.</summary>
    Metric = 0,

    /// <summary>°F, mph, inches.</summary>
    UnitedStates,
}

/// <summary>A place of the round and its forecast.</summary>
/// <param name="Place">The place.</param>
/// <param name="Forecast">What is known of the weather used.</param>
public sealed record RoundPlace(Place Place, ForecastInfo Forecast);

/// <summary>Where a place's weather came from and how old it is.</summary>
/// <param name="Source">Name of the source.</param>
/// <param name="Credit">Credit line its licence asks for, or empty.</param>
/// <param name="IssuedAt">When it was fetched or made; null when unknown.</param>
/// <param name="From">End of the first hour.</param>
/// <param name="To">End of the last hour.</param>
/// <param name="Gaps">What is missing, one sentence each.</param>
public sealed record ForecastInfo(string Source, string Credit, Instant? IssuedAt, Instant From, Instant To, IReadOnlyList<string> Gaps);

/// <summary>One line of work over one or many grafts.</summary>
public sealed record Advice
{
    /// <summary>Stable over days while the same work on the same grafts is open.</summary>
    public required string Id { get; init; }

    /// <summary>What to do.</summary>
    public required WorkAction Action { get; init; }

    /// <summary>The hazard behind it; null for dated work.</summary>
    public Hazard? Hazard { get; init; }

    /// <summary>Other hazards that the same work is meant for, each with the grafts it threatens.</summary>
    public IReadOnlyList<AlsoAgainst> AlsoAgainst { get; init; } = [];

    /// <summary>How pressing.</summary>
    public required Level Level { get; init; }

    /// <summary>How pressing it is by itself, where <see cref="Level"/> is lower because it was said before; this is what must be remembered. Null when equal.</summary>
    public Level? Reached { get; init; }

    /// <summary>Labels of the grafts, in walking order.</summary>
    public required IReadOnlyList<string> Grafts { get; init; }

    /// <summary>Where, for people: "Block B, row 2".</summary>
    public required string Where { get; init; }

    /// <summary>Number of unions.</summary>
    public required int Unions { get; init; }

    /// <summary>Unions of the same line that were told of before and are not among <see cref="Unions"/>; 0 but in a note between two letters.</summary>
    public int ToldUnions { get; init; }

    /// <summary>Not before; null when at once.</summary>
    public Instant? DoFrom { get; init; }

    /// <summary>Not after.</summary>
    public Instant? DoBy { get; init; }

    /// <summary>Why, in numbers.</summary>
    public required IReadOnlyList<Reason> Reasons { get; init; }

    /// <summary>Probability that the level is reached; null when the forecast is a single run.</summary>
    public double? Probability { get; init; }

    /// <summary>What to bring.</summary>
    public IReadOnlyList<string> Materials { get; init; } = [];

    /// <summary>Minutes of work for all unions. [min]</summary>
    public double Minutes { get; init; }

    /// <summary>The line as a sentence, in the grower's units and the place's hours.</summary>
    public required string Text { get; init; }

    /// <summary>Why, as a sentence.</summary>
    public required string Why { get; init; }

    /// <summary>Safety words for this work, may be empty.</summary>
    public IReadOnlyList<string> Cautions { get; init; } = [];

    /// <summary>First local day this was said; null when it is new today.</summary>
    public LocalDate? OpenSince { get; init; }

    /// <summary>Place the grafts stand at; gives the zone of the hours.</summary>
    public required string Place { get; init; }
}

/// <summary>A further hazard of a line.</summary>
/// <param name="Hazard">Which.</param>
/// <param name="Level">Level it has by itself, whatever became of it for having been said before.</param>
/// <param name="Grafts">Labels among the line's.</param>
public sealed record AlsoAgainst(Hazard Hazard, Level Level, IReadOnlyList<string> Grafts)
{
    /// <summary>Puts the grafts of each hazard and level together.</summary>
    public static IReadOnlyList<AlsoAgainst> Of(IEnumerable<(Hazard Hazard, Level Level, string Graft)> threats) =>
    [
        .. threats.GroupBy(threat => (threat.Hazard, threat.Level))
            .Select(group => new AlsoAgainst(group.Key.Hazard, group.Key.Level, [.. group.Select(threat => threat.Graft)])),
    ];
}

/// <summary>A number behind an advice.</summary>
/// <param name="Quantity">What, such as "cambium temperature".</param>
/// <param name="Unit">SI unit of the numbers, such as "°C".</param>
/// <param name="At">When it peaks.</param>
/// <param name="Without">If nothing is done.</param>
/// <param name="With">After the work; null when the work does not change it.</param>
/// <param name="Threshold">The level it was held against.</param>
/// <param name="Step">Which step that level is; null when not told.</param>
public sealed record Reason(string Quantity, string Unit, Instant At, double Without, double? With, double Threshold, Level? Step = null);

/// <summary>Where one graft stands.</summary>
/// <param name="Graft">Label.</param>
/// <param name="Stage">Stage now.</param>
/// <param name="HealingDays">Optimum-days since grafting; NaN when not computable.</param>
/// <param name="NextStage">The stage after; null when established or failed.</param>
/// <param name="Early">Earliest date of the next stage; null when unknown.</param>
/// <param name="Likely">Likely date.</param>
/// <param name="Late">Latest date.</param>
public sealed record GraftStage(string Graft, Stage Stage, double HealingDays, Stage? NextStage, LocalDate? Early, LocalDate? Likely, LocalDate? Late);

/// <summary>A hazard that is fine, with the worst value found.</summary>
/// <param name="Hazard">Which.</param>
/// <param name="Quantity">What was looked at.</param>
/// <param name="Unit">SI unit.</param>
/// <param name="Value">The worst value.</param>
/// <param name="Graft">At which graft.</param>
/// <param name="At">When.</param>
public sealed record FineHazard(Hazard Hazard, string Quantity, string Unit, double Value, string Graft, Instant At);

/// <summary>Something that could not be checked.</summary>
/// <param name="Graft">Label, or empty for the whole round.</param>
/// <param name="Hazard">Which hazard; null for all, unless <paramref name="Task"/> is named.</param>
/// <param name="Why">Ends the sentence "not checked, because …".</param>
/// <param name="Task">Dated work that could not be judged, such as "watering", where the hazards were; empty otherwise.</param>
public sealed record NotChecked(string Graft, Hazard? Hazard, string Why, string Task = "")
{
    /// <summary>Whether nothing at all was checked.</summary>
    public bool IsEverything => Hazard is null && Task.Length == 0;
}

/// <summary>What can go wrong at a union.</summary>
public enum Hazard
{
    /// <summary>Cambium too warm.</summary>
    Heat = 0,

    /// <summary>Sun on fresh leaves or newly bared bark.</summary>
    Sun,

    /// <summary>Drying out.</summary>
    Drying,

    /// <summary>Sap pressure drowning the union.</summary>
    Sap,

    /// <summary>Wind on the shoot.</summary>
    Wind,

    /// <summary>Frost on tissue.</summary>
    Frost,

    /// <summary>Water or steam under film and covers.</summary>
    Wet,

    /// <summary>Too cold to heal; information.</summary>
    ColdStall,
}

/// <summary>Kinds of work. The key in files and JSON is the name in kebab-case.</summary>
public enum WorkAction
{
    /// <summary>Put on a cover against sun and heat.</summary>
    Shade = 0,

    /// <summary>Open a cover.</summary>
    Vent,

    /// <summary>Close a cover for the night.</summary>
    CloseCover,

    /// <summary>Take the cover off in steps.</summary>
    CoverOff,

    /// <summary>Cover shoots against frost.</summary>
    FrostCover,

    /// <summary>Take the frost cover off again.</summary>
    FrostCoverOff,

    /// <summary>Renew the seal.</summary>
    Reseal,

    /// <summary>Water the stock.</summary>
    Water,

    /// <summary>Relief cuts for sap.</summary>
    Relieve,

    /// <summary>Stake the shoot.</summary>
    Stake,

    /// <summary>Tie the shoot in.</summary>
    TieIn,

    /// <summary>Pinch the shoot.</summary>
    Pinch,

    /// <summary>Look at the union.</summary>
    Look,

    /// <summary>Slit the tie.</summary>
    SlitTie,

    /// <summary>Take the tie off.</summary>
    TieOff,

    /// <summary>Open or renew film.</summary>
    FilmOff,

    /// <summary>Rub off stock shoots.</summary>
    RubOff,

    /// <summary>Head the stock back.</summary>
    HeadBack,

    /// <summary>Choose one shoot.</summary>
    ChooseShoot,

    /// <summary>Take blossoms and fruit off.</summary>
    FruitOff,

    /// <summary>Check whether the graft has taken.</summary>
    TakeCheck,

    /// <summary>Graft again in the window.</summary>
    Regraft,

    /// <summary>Wait: a task is due but the weather says not today.</summary>
    Wait,

    /// <summary>Nothing to do; for knowledge.</summary>
    Know,

    /// <summary>Look for pests.</summary>
    Pests,

    /// <summary>Weed and mulch around the stem.</summary>
    Weed,

    /// <summary>Feed lightly.</summary>
    Feed,

    /// <summary>Let the wood ripen: less water, no nitrogen.</summary>
    Ripen,

    /// <summary>Paint bark white.</summary>
    Whitewash,

    /// <summary>Guard trunk and union for winter.</summary>
    Guard,

    /// <summary>Cut the dead stub slanting.</summary>
    SlopeStub,

    /// <summary>Dormant prune and back-up scions.</summary>
    Train,

    /// <summary>Look at the union in its second year.</summary>
    UnionCheck,

    /// <summary>Take the stake away.</summary>
    StakeOff,

    /// <summary>The tree stands alone; the record may be closed.</summary>
    Release,

    /// <summary>A copy on its own roots.</summary>
    AirLayer,

    /// <summary>Rub off nurse buds.</summary>
    NurseOff,
}
