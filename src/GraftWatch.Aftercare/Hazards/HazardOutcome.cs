using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Thresholds;

namespace GraftWatch.Aftercare.Hazards;

/// <summary>One hazard at one kind of union over the hours ahead.</summary>
internal sealed record HazardOutcome
{
    /// <summary>Which hazard.</summary>
    internal required Hazard Hazard { get; init; }

    /// <summary>What was looked at, in letters' words.</summary>
    internal required string Quantity { get; init; }

    /// <summary>SI unit of the numbers.</summary>
    internal required string Unit { get; init; }

    /// <summary>Which way danger lies.</summary>
    internal required LevelDirection Direction { get; init; }

    /// <summary>The levels it was held against.</summary>
    internal required Levels Levels { get; init; }

    /// <summary>Days or nights that reach a level, in order.</summary>
    internal IReadOnlyList<Spell> Spells { get; init; } = [];

    /// <summary>The hourly values it was judged by, over the whole grid; empty where it is not judged hour by hour. NaN where unknown.</summary>
    internal double[] Values { get; init; } = [];

    /// <summary>Worst value ahead; NaN when none is known.</summary>
    internal double WorstValue { get; init; } = double.NaN;

    /// <summary>Hour of the worst value.</summary>
    internal int WorstHour { get; init; } = -1;

    /// <summary>Why it could not be checked; null when it was.</summary>
    internal string? NotChecked { get; init; }

    /// <summary>Which tissue or part was looked at, where a sentence needs it.</summary>
    internal string Part { get; init; } = string.Empty;

    /// <summary>The highest level of spells that begin before an hour.</summary>
    /// <param name="beforeHour">Spells from this hour on do not count.</param>
    internal Level LevelBefore(int beforeHour) => LevelIn(new HourRange(0, beforeHour));

    /// <summary>Whether a spell of any level begins before an hour.</summary>
    /// <param name="beforeHour">Spells from this hour on do not count.</param>
    internal bool ReachesWithin(int beforeHour) => LevelBefore(beforeHour) > Level.None;

    /// <summary>The worst value of hours before a limit; NaN when none is known.</summary>
    /// <param name="beforeHour">Spells from this hour on do not count.</param>
    internal double PeakBefore(int beforeHour) => PeakIn(new HourRange(0, beforeHour));

    /// <summary>Level of the spells that begin within a range.</summary>
    internal Level LevelIn(HourRange range)
    {
        Level level = Level.None;
        foreach (Spell spell in Spells)
        {
            level = range.Has(spell.FromHour) && spell.Level > level ? spell.Level : level;
        }

        return level;
    }

    /// <summary>The worst value of the spells that begin within a range; without any the worst value behind its first hour. NaN when none is known.</summary>
    internal double PeakIn(HourRange range)
    {
        double worst = double.NaN;
        foreach (Spell spell in Spells)
        {
            worst = range.Has(spell.FromHour) ? Worse(worst, spell.Peak) : worst;
        }

        if (!double.IsNaN(worst) || range.From == 0)
        {
            return double.IsNaN(worst) ? WorstValue : worst;
        }

        foreach (double value in Values.Skip(range.From))
        {
            worst = Worse(worst, value);
        }

        return worst;
    }

    private double Worse(double one, double other) =>
        double.IsNaN(other) || (Direction == LevelDirection.Falling ? other >= one : other <= one) ? one : other;
}

/// <summary>Hours that count.</summary>
/// <param name="From">First of them.</param>
/// <param name="Before">First that does not count any more.</param>
internal readonly record struct HourRange(int From, int Before)
{
    /// <summary>Whether an hour is among them.</summary>
    internal bool Has(int hour) => hour >= From && hour < Before;
}

/// <summary>A day or night on which a hazard reaches a level.</summary>
/// <param name="Level">Level reached.</param>
/// <param name="FromHour">First hour that counts.</param>
/// <param name="ToHour">Last hour that counts.</param>
/// <param name="PeakHour">Worst hour.</param>
/// <param name="Peak">Worst value.</param>
internal readonly record struct Spell(Level Level, int FromHour, int ToHour, int PeakHour, double Peak);

/// <summary>Hours of one day a value must stand beyond a level before it counts.</summary>
/// <param name="Note">For note. [h]</param>
/// <param name="Act">For act. [h]</param>
/// <param name="Urgent">For urgent. [h]</param>
internal readonly record struct HoursNeeded(double Note, double Act, double Urgent)
{
    /// <summary>One hour is enough.</summary>
    internal static HoursNeeded One { get; } = new(1, 1, 1);
}

/// <summary>Finds spells in hourly values.</summary>
internal static class SpellFinder
{
    /// <summary>Judges every window of the hours ahead.</summary>
    /// <param name="values">Hourly values; NaN where unknown.</param>
    /// <param name="levels">Levels.</param>
    /// <param name="direction">Which way danger lies.</param>
    /// <param name="windows">Days or nights.</param>
    /// <param name="needed">Hours beyond a level before it counts.</param>
    /// <param name="raise">Raises a window's level by another judgement of the same hours; may be null.</param>
    internal static List<Spell> Find(
        ReadOnlySpan<double> values, Levels levels, LevelDirection direction, IEnumerable<HourRun> windows, HoursNeeded needed, Func<HourRun, Level>? raise = null)
    {
        var spells = new List<Spell>();
        foreach (HourRun window in windows)
        {
            Level level = LevelOf(values, window, levels, direction, needed);
            Level raised = raise?.Invoke(window) ?? Level.None;
            level = raised > level ? raised : level;
            if (level == Level.None)
            {
                continue;
            }

            Level counted = level >= Level.Act ? Level.Act : Level.Note;
            spells.Add(Measure(values, window, level, hour => levels.Of(hour, direction) >= counted, direction));
        }

        return spells;
    }

    /// <summary>The worst known value from an hour on, and where it stands.</summary>
    internal static (double Value, int Hour) Worst(ReadOnlySpan<double> values, int from, int to, LevelDirection direction)
    {
        double worst = double.NaN;
        int at = -1;
        for (int i = Math.Max(from, 0); i < Math.Min(to, values.Length); i++)
        {
            if (!double.IsNaN(values[i]) && (at < 0 || (direction == LevelDirection.Falling ? values[i] < worst : values[i] > worst)))
            {
                worst = values[i];
                at = i;
            }
        }

        return (worst, at);
    }

    /// <summary>Hours without a value among some hours, and the first of them (-1 when none).</summary>
    internal static (int Count, int First) Unknown(ReadOnlySpan<double> values, int from, int to)
    {
        int count = 0;
        int first = -1;
        for (int i = Math.Max(from, 0); i < Math.Min(to, values.Length); i++)
        {
            if (double.IsNaN(values[i]))
            {
                first = count == 0 ? i : first;
                count++;
            }
        }

        return (count, first);
    }

    private static Level LevelOf(ReadOnlySpan<double> values, HourRun window, Levels levels, LevelDirection direction, HoursNeeded needed)
    {
        int note = 0;
        int act = 0;
        int urgent = 0;
        for (int i = window.From; i <= window.To; i++)
        {
            Level reached = levels.Of(values[i], direction);
            note += reached >= Level.Note ? 1 : 0;
            act += reached >= Level.Act ? 1 : 0;
            urgent += reached >= Level.Urgent ? 1 : 0;
        }

        return urgent > 0 && urgent >= needed.Urgent ? Level.Urgent
            : act > 0 && act >= needed.Act ? Level.Act
            : note > 0 && note >= needed.Note ? Level.Note
            : Level.None;
    }

    private static Spell Measure(ReadOnlySpan<double> values, HourRun window, Level level, Func<double, bool> counts, LevelDirection direction)
    {
        (double peak, int peakHour) = Worst(values, window.From, window.To + 1, direction);
        int from = -1;
        int to = -1;
        for (int i = window.From; i <= window.To; i++)
        {
            if (counts(values[i]))
            {
                from = from < 0 ? i : from;
                to = i;
            }
        }

        return new Spell(level, from < 0 ? peakHour : from, to < 0 ? peakHour : to, peakHour, peak);
    }
}
