using GraftWatch.Records;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Serving.Clocks;

/// <summary>Why a clock is not to be trusted by itself.</summary>
/// <param name="Words">What speaks against it.</param>
/// <param name="IsAhead">Whether it may be right: the machine was off, or a time service set it.</param>
internal sealed record ClockDoubt(string Words, bool IsAhead)
{
    /// <summary>No machine runs this program before.</summary>
    internal static readonly Instant FirstSensible = Instant.FromUtc(2026, 1, 1, 0, 0);

    private static readonly Duration Behind = Duration.FromMinutes(2);
    private static readonly Duration Ahead = Duration.FromHours(26);

    /// <summary>The doubt about a clock; null for none.</summary>
    /// <param name="now">What it says.</param>
    /// <param name="noted">The latest instant that is noted; null for none.</param>
    /// <param name="expected">Where it should be about; null where nobody knows.</param>
    internal static ClockDoubt? Of(Instant now, Instant? noted, Instant? expected)
    {
        return now < FirstSensible ? new ClockDoubt($"{Says(now)}, before this program was made", IsAhead: false)
            : noted is { } known && now < known - Behind ? new ClockDoubt($"{Says(now)}, but {InstantPattern.General.Format(known)} is already noted", IsAhead: false)
            : expected is { } at && now - at > Ahead ? new ClockDoubt($"{Says(now)}, far ahead of {InstantPattern.General.Format(at)}", IsAhead: true)
            : null;
    }

    /// <summary>The doubt where programs share a server: they must agree on the hour.</summary>
    internal static async Task<ClockDoubt?> OfServerAsync(Instant now, RecordsStore store, CancellationToken cancellationToken)
    {
        try
        {
            Instant theirs = await store.Figures.LoadClockAsync(cancellationToken).ConfigureAwait(false);
            return now - theirs > Behind || theirs - now > Behind
                ? new ClockDoubt($"{Says(now)}, the store's server {InstantPattern.General.Format(theirs)}", IsAhead: false)
                : null;
        }
        catch (System.Data.Common.DbException)
        {
            return null; // A server that is away holds everything up by itself.
        }
    }

    /// <summary>What a witness says; before this program was made none can speak for the clock.</summary>
    internal static Task<ClockWord> AskAsync(Instant now, IClockWitness witness, CancellationToken cancellationToken) =>
        now < FirstSensible ? Task.FromResult(ClockWord.Silent) : witness.AskAsync(now, cancellationToken);

    /// <summary>The doubt and the witness in a sentence.</summary>
    internal string Sentence(ClockWord word) => $"The clock is not to be trusted: {Words} ({word.Words}).";

    private static string Says(Instant now) => $"it says {InstantPattern.General.Format(now)}";
}
