using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Thresholds;

namespace GraftWatch.Aftercare.Hazards;

/// <summary>Turns hourly values into an outcome: spells, worst value, and whether enough hours were known.</summary>
internal static class HourlyJudgement
{
    /// <summary>Hours ahead over which missing values make a hazard unchecked. [h], engineering choice: the days a letter decides on.</summary>
    internal const int DecidedHours = 72;

    /// <summary>Missing hours that are borne. [h], engineering choice.</summary>
    private const int BorneHours = 3;

    /// <summary>Judges hourly values.</summary>
    /// <param name="frame">Hazard, words, levels and direction.</param>
    /// <param name="climate">The place.</param>
    /// <param name="values">Hourly values over the whole grid; NaN where unknown.</param>
    /// <param name="byNight">Whether windows run from noon to noon.</param>
    /// <param name="needed">Hours beyond a level before it counts.</param>
    /// <param name="why">Says why an hour is missing.</param>
    /// <param name="raise">Another judgement of the same hours; may be null.</param>
    internal static HazardOutcome Of(
        HazardOutcome frame, PlaceClimate climate, double[] values, bool byNight, HoursNeeded needed, Func<int, string> why, Func<HourRun, Level>? raise = null)
    {
        int[] keys = byNight ? climate.Calendar.Night : climate.Calendar.Day;
        int from = climate.FirstAhead;
        (int unknown, int first) = SpellFinder.Unknown(values, from, from + DecidedHours);
        (double worst, int worstHour) = SpellFinder.Worst(values, from, from + DecidedHours, frame.Direction);
        string? notChecked = from >= values.Length ? $"the weather of {climate.Place.Name} ends before this round begins"
            : unknown > BorneHours ? why(first)
            : null;
        return frame with
        {
            Values = values,
            Spells = SpellFinder.Find(values, frame.Levels, frame.Direction, Windows.Of(keys, from), needed, raise),
            WorstValue = worst,
            WorstHour = worstHour,
            NotChecked = notChecked,
        };
    }
}
