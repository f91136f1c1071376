using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Pages.Today;

/// <summary>What of a line of the round was answered since the round was computed, and what is left.</summary>
/// <param name="Open">Labels without an answer.</param>
/// <param name="Answered">Labels with one.</param>
internal sealed record LineState(IReadOnlyList<string> Open, IReadOnlyList<string> Answered)
{
    /// <summary>Whether nothing is left to do.</summary>
    internal bool IsAnswered => Open.Count == 0 && Answered.Count > 0;

    /// <summary>The state of a line.</summary>
    /// <param name="advice">The line.</param>
    /// <param name="computedAt">When the round was computed: answers before it are in it.</param>
    /// <param name="answers">The grower's answers.</param>
    internal static LineState Of(Advice advice, Instant computedAt, IReadOnlyList<NotedAnswer> answers)
    {
        HashSet<string>? answered = null;
        foreach (NotedAnswer noted in answers)
        {
            SaidAnswer answer = noted.Answer;
            if (noted.UndoneAt is null && answer.At >= computedAt && answer.Answers(advice.Action, advice.Hazard))
            {
                (answered ??= new HashSet<string>(StringComparer.Ordinal)).UnionWith(answer.Grafts);
            }
        }

        return answered is null
            ? new LineState(advice.Grafts, [])
            : new LineState([.. advice.Grafts.Where(label => !answered.Contains(label))], [.. advice.Grafts.Where(answered.Contains)]);
    }
}
