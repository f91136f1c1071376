using System.Collections.Concurrent;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Lines to hosts; those to the same host share one gate, whatever they fetch. Disposed with the application.</summary>
internal sealed class HostLines(IRequestTallies tallies, TimeProvider time) : IDisposable
{
    private readonly ConcurrentDictionary<string, HostGate> gates = new(StringComparer.Ordinal);

    public HostLine For(Uri baseUrl, LineOptions options, CourtesyPolicy policy)
    {
        HostGate gate = gates.GetOrAdd(baseUrl.Authority, host => new HostGate(host, policy, tallies, time));
        return new HostLine(baseUrl.Host, options, gate, time);
    }

    public void Dispose()
    {
        foreach (HostGate gate in gates.Values)
        {
            gate.Dispose();
        }
    }
}
