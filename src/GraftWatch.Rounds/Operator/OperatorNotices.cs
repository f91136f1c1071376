using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Rounds.Operator;

/// <summary>Decides whether who runs the program is written to. A pure function: whoever asks twice gets the same answer.</summary>
/// <remarks>
/// Rarely, and never about a mail of this kind: a server that refuses everything must not be answered with ever more mail
/// (RFC 5321 section 6.1). What was told is not told again for a day, however long it lasts.
/// </remarks>
public static class OperatorNotices
{
    /// <summary>Least time from one mail to the next.</summary>
    public static readonly Duration AtMostEvery = Duration.FromHours(1);

    /// <summary>Most mails a UTC day.</summary>
    public const int MostADay = 6;

    /// <summary>How long a mail is of use.</summary>
    public static readonly Duration UsefulFor = Duration.FromHours(24);

    private static readonly Duration ToldFor = Duration.FromHours(24);

    /// <summary>Decides.</summary>
    /// <param name="facts">What is amiss now.</param>
    /// <param name="told">When each fact was last told, by its key.</param>
    /// <param name="today">Mails of the UTC day.</param>
    /// <param name="lastSealedAt">When the last mail of any day was sealed; null when there is none.</param>
    /// <param name="now">The instant of the run.</param>
    public static OperatorDecision Decide(
        IReadOnlyList<OperatorFact> facts, IReadOnlyDictionary<string, Instant> told, DayOfLetters today, Instant? lastSealedAt, Instant now)
    {
        ArgumentNullException.ThrowIfNull(facts);
        ArgumentNullException.ThrowIfNull(told);
        ArgumentNullException.ThrowIfNull(today);
        OperatorFact[] fresh = [.. facts.Where(fact => !told.TryGetValue(fact.Key, out Instant at) || now - at >= ToldFor || at > now)];
        return fresh.Length == 0 ? new OperatorDecision.Nothing("nothing new is amiss")
            : today.IsClosed ? new OperatorDecision.Nothing("the day is closed: the store was restored")
            : today.Sealed >= MostADay ? new OperatorDecision.Nothing($"{MostADay} mails went out today")
            : lastSealedAt is { } last && now - last < AtMostEvery && now >= last ? new OperatorDecision.Nothing("the last mail is less than an hour old")
            : new OperatorDecision.Send(fresh, [.. facts.Except(fresh)], today.Sealed);
    }
}

/// <summary>Something the operator must mend or know.</summary>
/// <param name="Key">Stable while it is the same matter.</param>
/// <param name="Sentence">What it is; a whole sentence.</param>
public sealed record OperatorFact(string Key, string Sentence);

/// <summary>What to do about telling the operator.</summary>
public abstract record OperatorDecision
{
    private OperatorDecision()
    {
    }

    /// <summary>Write.</summary>
    /// <param name="News">What is new.</param>
    /// <param name="Known">What was told before and is still so.</param>
    /// <param name="Ordinal">Ordinal of the slot.</param>
    public sealed record Send(IReadOnlyList<OperatorFact> News, IReadOnlyList<OperatorFact> Known, int Ordinal) : OperatorDecision;

    /// <summary>Do not write.</summary>
    /// <param name="Why">Ends the sentence "no mail, because …".</param>
    public sealed record Nothing(string Why) : OperatorDecision;
}
