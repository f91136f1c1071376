using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Json;

/// <summary>The words of the Common Alerting Protocol (OASIS CAP 1.2, section 3.2.2) for an advice.</summary>
internal static class CapWords
{
    /// <summary>The three words.</summary>
    internal static CapDocument Of(Advice advice, Instant now) => new(Severity(advice.Level), Urgency(advice, now), Certainty(advice, now));

    private static string Severity(Level level) => level switch
    {
        Level.Urgent => "Severe",
        Level.Act => "Moderate",
        Level.Note => "Minor",
        Level.None => "Unknown",
        _ => throw new System.Diagnostics.UnreachableException(),
    };

    // CAP: Immediate is now, Expected within the hour, Future in the near future, Past is over.
    private static string Urgency(Advice advice, Instant now)
    {
        Instant? at = advice.DoBy ?? advice.DoFrom;
        return at switch
        {
            null => "Unknown",
            { } by when by <= now => advice.DoFrom is { } from && from > now ? "Future" : "Immediate",
            { } by when by <= now + Duration.FromHours(1) => "Expected",
            _ => "Future",
        };
    }

    // CAP: Observed has happened, Likely means p above one half, Possible at most one half. A single run states no
    // probability; its first two days are called likely, what lies beyond possible.
    private static string Certainty(Advice advice, Instant now)
    {
        if (advice.Probability is { } probability)
        {
            return probability > 0.5 ? "Likely" : probability > 0 ? "Possible" : "Unlikely";
        }

        Instant? peak = advice.Reasons.Count > 0 ? advice.Reasons.Max(reason => reason.At) : advice.DoBy;
        return peak is null ? "Unknown"
            : peak <= now ? "Observed"
            : peak <= now + Duration.FromHours(48) ? "Likely"
            : "Possible";
    }
}
