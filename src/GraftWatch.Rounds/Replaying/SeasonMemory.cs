using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Rounds.Answering;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Rounds.Replaying;

/// <summary>What a replayed season knows of its own earlier days: what was said, and what became of it.</summary>
internal sealed class SeasonMemory(SeasonWork work, Handbook handbook, IReadOnlyList<Observation> recorded)
{
    private readonly WorkTraces traces = new(handbook);
    private readonly List<Observation> observations = [.. recorded];
    private readonly Dictionary<(WorkAction, Hazard?, string), SaidBefore> said = [];

    /// <summary>What was seen and done so far.</summary>
    internal IReadOnlyList<Observation> Observations => [.. observations];

    /// <summary>What was said so far.</summary>
    internal IReadOnlyList<SaidBefore> Said => [.. said.Values];

    /// <summary>Takes a morning's letter, and does its work where that is assumed.</summary>
    internal void Take(Round round, Instant now)
    {
        foreach (Advice advice in round.Advice)
        {
            bool done = work == SeasonWork.AsAdvised && advice.Level >= Level.Act && WorkTraces.IsWork(advice.Action);
            foreach (SaidLine line in SaidLine.Of(advice, advice.Grafts, round.Date))
            {
                said[(line.Action, line.Hazard, line.Graft)] = new SaidBefore(
                    line.Action, line.Hazard, line.Graft, line.FirstSaid, line.Level, done ? SaidState.Done : SaidState.Open, AnsweredOn: done ? round.Date : null);
            }

            if (done)
            {
                observations.AddRange(advice.Grafts.SelectMany(graft => traces.Of(advice, graft, now)));
            }
        }
    }
}
