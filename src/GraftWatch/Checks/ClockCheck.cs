using System.Globalization;
using System.Runtime.CompilerServices;
using NodaTime;

namespace GraftWatch.Checks;

/// <summary>The clock, against the day this program was made and against what other machines say.</summary>
internal sealed class ClockCheck : ICheck
{
    // Letters are promised to the minute; a reply may take some seconds.
    private static readonly Duration Tolerance = Duration.FromMinutes(2);

    /// <summary>No clock that is right says less.</summary>
    internal static readonly Instant Made = Instant.FromUtc(2026, 1, 1, 0, 0);

    public string Subject => "clock";

    public bool NeedsSettings => false;

    public async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        await Task.CompletedTask.ConfigureAwait(false);
        Instant now = scope.Terminal.Now();
        string words = now.ToString("uuuu-MM-dd HH:mm:ss'Z'", CultureInfo.InvariantCulture);
        const string Mend = "Set the clock, best by a time service: timedatectl set-ntp true.";
        if (now < Made)
        {
            yield return new CheckLine(Subject, CheckVerdict.Failed, $"This machine's clock says {words}, before this program was made; no letter is sent by such a clock.", Mend);
            yield break;
        }

        if (scope.Clocks.Count == 0)
        {
            yield return new CheckLine(Subject, CheckVerdict.Fine, $"{words}; no other machine told its time.");
            yield break;
        }

        (string who, Duration ahead) = scope.Clocks.MinBy(clock => Duration.Max(clock.Ahead, -clock.Ahead));
        Duration off = Duration.Max(ahead, -ahead);
        string difference = off < Duration.FromHours(2) ? $"{off.TotalMinutes:0} minutes" : off < Duration.FromDays(3) ? $"{off.TotalHours:0} hours" : $"{off.TotalDays:0} days";
        yield return off <= Tolerance
            ? new CheckLine(Subject, CheckVerdict.Fine, $"{words}, within {Math.Max(1, off.TotalSeconds):0} s of {who}.")
            : new CheckLine(Subject, CheckVerdict.Failed, $"This machine's clock says {words}, {difference} {(ahead > Duration.Zero ? "ahead of" : "behind")} {who}; letters would go at the wrong hour.", Mend);
    }
}
