using GraftWatch.Rounds.Ports;
using NodaTime;
using NodaTime.TimeZones;

namespace GraftWatch.Rounds.Schedules;

/// <summary>When morning letters fall due. Pure functions of a grower's zone and hour; nothing is remembered, so asking twice is harmless.</summary>
/// <remarks>
/// A letter belongs to a local date, never to an instant. Where clocks go forward over the letter hour, the letter is due
/// as much later as the clocks jump; where they go back over it, it is due the first time the hour comes, once. A local
/// date that a zone leaves out altogether has no letter.
/// </remarks>
public static class LetterSchedule
{
    private static readonly ZoneLocalMappingResolver ForwardInGapFirstInOverlap =
        Resolvers.CreateMappingResolver(Resolvers.ReturnEarlier, Resolvers.ReturnForwardShifted);

    /// <summary>When the letter of a local date is due; null on a date the zone leaves out.</summary>
    public static Instant? DueAt(Grower grower, LocalDate date) => DueAt(grower.Zone, grower.LetterTime, date);

    /// <summary>When a local time of a local date comes; null on a date the zone leaves out.</summary>
    public static Instant? DueAt(DateTimeZone zone, LocalTime time, LocalDate date)
    {
        ZonedDateTime due = zone.ResolveLocal(date + time, ForwardInGapFirstInOverlap);
        return due.Date == date ? due.ToInstant() : null;
    }

    /// <summary>The first letter that falls due after an instant.</summary>
    public static DueLetter NextDue(Grower grower, Instant after)
    {
        // A day early, because a zone may move its date line while the letter hour is near midnight.
        LocalDate date = after.InZone(grower.Zone).Date.PlusDays(-1);
        while (true)
        {
            if (DueAt(grower, date) is { } due && due > after)
            {
                return new DueLetter(date, due);
            }

            date = date.PlusDays(1);
        }
    }

    /// <summary>What is to be done about the morning letter now.</summary>
    /// <param name="grower">Whose letter.</param>
    /// <param name="now">The instant of the run.</param>
    /// <param name="policy">What happens to a letter that was missed.</param>
    public static MorningDecision Decide(Grower grower, Instant now, MorningPolicy policy)
    {
        LocalDate today = now.InZone(grower.Zone).Date;
        if (DueAt(grower, today) is { } due && now >= due)
        {
            return Decide(grower, today, due, now, policy);
        }

        // The letter of a late hour is of use past midnight. The day before is not always the date before: zones have left dates out.
        LocalDate yesterday = (grower.Zone.AtStartOfDay(today).ToInstant() - Duration.Epsilon).InZone(grower.Zone).Date;
        return DueAt(grower, yesterday) is { } before && now < TooLateAt(grower, yesterday, before, policy)
            ? Decide(grower, yesterday, before, now, policy)
            : new MorningDecision.NotYet(NextDue(grower, now));
    }

    /// <summary>From when a morning letter has lost its use.</summary>
    public static Instant TooLateAt(Grower grower, LocalDate date, MorningPolicy policy) =>
        DueAt(grower, date) is { } due ? TooLateAt(grower, date, due, policy) : Instant.MinValue;

    private static MorningDecision Decide(Grower grower, LocalDate date, Instant due, Instant now, MorningPolicy policy)
    {
        bool late = now - due > policy.Punctual;
        if (!late)
        {
            return new MorningDecision.Due(new DueLetter(date, due), IsLate: false);
        }

        return policy.Missed == MissedMorning.Skip || now >= TooLateAt(grower, date, due, policy)
            ? new MorningDecision.TooLate(new DueLetter(date, due))
            : new MorningDecision.Due(new DueLetter(date, due), IsLate: true);
    }

    private static Instant TooLateAt(Grower grower, LocalDate date, Instant due, MorningPolicy policy)
    {
        Instant set = DueAt(grower.Zone, policy.TooLateTime, date) ?? due;
        Instant atLeast = due + policy.UsefulAtLeast;
        return set > atLeast ? set : atLeast;
    }
}

/// <summary>A letter and the instant it falls due.</summary>
/// <param name="Date">Local date it belongs to.</param>
/// <param name="At">When it is due.</param>
public readonly record struct DueLetter(LocalDate Date, Instant At);
