using System.Collections.Concurrent;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Lines to hosts; those to the same host share one gate, whatever they fetch. Disposed with the application.</summary>
internal sealed class HostLines(IRequestTallies tallies, TimeProvider time, ILogger<HostLines>? logger = null) : IDisposable
{
    private readonly ConcurrentDictionary<string, HostGate> gates = new(StringComparer.Ordinal);

    public HostLine For(Uri baseUrl, LineOptions options, CourtesyPolicy policy)
    {
        HostGate gate = gates.GetOrAdd(baseUrl.Authority, host => new HostGate(host, policy, tallies, time));
        return new HostLine(baseUrl.Host, options, gate, time, logger ?? (ILogger)NullLogger.Instance);
    }

    public void Dispose()
    {
        foreach (HostGate gate in gates.Values)
        {
            gate.Dispose();
        }
    }
}
