using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Explaining;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Rounds.Schedules;
using NodaTime;

namespace GraftWatch.Rounds.Replaying;

/// <summary>Runs the daily round over past weather, one morning after the other.</summary>
/// <remarks>
/// Each morning knows the hours before it as past and the ten days after it as forecast. Those forecast hours are the ones
/// that came: a real forecast would have been less right, so a replay flatters what could have been known. It never
/// flatters the unions: what they felt is computed from the same hours.
/// </remarks>
public static class Season
{
    private const int ForecastDays = 10;

    /// <summary>Runs the season.</summary>
    /// <param name="request">What is replayed.</param>
    /// <param name="progress">Told the number of days done.</param>
    /// <param name="cancellationToken">Stops between two days.</param>
    public static SeasonResult Run(SeasonRequest request, IProgress<int>? progress, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(request);
        var days = new List<SeasonDay>();
        var memory = new SeasonMemory(request.Work, request.Handbook, request.Observations);
        for (LocalDate date = request.From; date <= request.To; date = date.PlusDays(1))
        {
            cancellationToken.ThrowIfCancellationRequested();
            if (LetterSchedule.DueAt(request.Zone, request.LetterTime, date) is { } now)
            {
                days.Add(Day(request, memory, date, now));
            }

            progress?.Report(days.Count);
        }

        return new SeasonResult(days);
    }

    private static SeasonDay Day(SeasonRequest request, SeasonMemory memory, LocalDate date, Instant now)
    {
        var round = new RoundRequest
        {
            Date = date,
            Now = now,
            Grower = request.Grower,
            Units = request.Units,
            Places = [.. request.Places.Select(place => Known(place, date, now))],
            Grafts = [.. request.Grafts.Where(graft => graft.Made <= date)],
            Handbook = request.Handbook,
            Observations = memory.Observations,
            Said = memory.Said,
        };
        var morning = FeltMorning.Of(round);
        Round made = morning.Round;
        memory.Take(made, now);
        FeltDay felt = morning.Felt(memory.Observations, request.FeltLevels ?? request.Handbook.Thresholds);
        return new SeasonDay(date, made.Advice, made.NotChecked.Count, felt);
    }

    private static PlaceWeather Known(PlaceWeather place, LocalDate date, Instant now)
    {
        if (place.Weather is not { } all)
        {
            return place;
        }

        Instant end = place.Place.Zone.AtStartOfDay(date.PlusDays(ForecastDays + 1)).ToInstant();
        return WeatherSlice.Of(all, all.FirstHourEnd, end, now) is { } known
            ? place with { Weather = known, Forecast = place.Forecast with { From = known.FirstHourEnd, To = known.LastHourEnd } }
            : place with { Weather = null, Trouble = "the weather begins later" };
    }
}

/// <summary>What is replayed.</summary>
public sealed record SeasonRequest
{
    /// <summary>First local day.</summary>
    public required LocalDate From { get; init; }

    /// <summary>Last local day.</summary>
    public required LocalDate To { get; init; }

    /// <summary>Zone of the letter hour.</summary>
    public required DateTimeZone Zone { get; init; }

    /// <summary>The letter hour.</summary>
    public required LocalTime LetterTime { get; init; }

    /// <summary>The grower's name.</summary>
    public required string Grower { get; init; }

    /// <summary>Units of the texts.</summary>
    public UnitSystem Units { get; init; }

    /// <summary>Places with all their hours.</summary>
    public required IReadOnlyList<PlaceWeather> Places { get; init; }

    /// <summary>The register as it stood at the start.</summary>
    public required IReadOnlyList<Graft> Grafts { get; init; }

    /// <summary>Species, materials and thresholds.</summary>
    public required Handbook Handbook { get; init; }

    /// <summary>What is assumed of the work.</summary>
    public SeasonWork Work { get; init; }

    /// <summary>What was seen and done, where that is known.</summary>
    public IReadOnlyList<Observation> Observations { get; init; } = [];

    /// <summary>Levels that felt hours are counted against; null for the handbook's own. Two files are compared against the same.</summary>
    public ThresholdSet? FeltLevels { get; init; }
}

/// <summary>What is assumed of the work that letters advise.</summary>
public enum SeasonWork
{
    /// <summary>It is done on the day it is advised for: urgent and act lines; notes are read only.</summary>
    AsAdvised = 0,

    /// <summary>It is never done.</summary>
    Idle,

    /// <summary>Only what was recorded was done.</summary>
    AsRecorded,
}

/// <summary>One season, replayed.</summary>
/// <param name="Days">The mornings, in order.</param>
public sealed record SeasonResult(IReadOnlyList<SeasonDay> Days);

/// <summary>One morning of a season.</summary>
/// <param name="Date">Local day.</param>
/// <param name="Advice">Lines of its letter.</param>
/// <param name="NotChecked">Lines of what could not be checked.</param>
/// <param name="Felt">What the unions felt that day.</param>
public sealed record SeasonDay(LocalDate Date, IReadOnlyList<Advice> Advice, int NotChecked, FeltDay Felt)
{
    /// <summary>Highest level of a hazard that day; of dated work for null.</summary>
    public Level LevelOf(Hazard? hazard) => Advice.Where(advice => advice.Hazard == hazard).Select(advice => advice.Level).DefaultIfEmpty(Level.None).Max();
}
