using System.Runtime;

namespace GraftWatch.Serving;

/// <summary>Gives memory back to the machine once work is done, for the daemon sleeps most of the day.</summary>
/// <remarks>
/// By itself the collector runs when a part of the heap is full, which takes hours while next to nothing happens: what the
/// start and a morning needed would stay until then.
/// </remarks>
internal sealed class HeapRest(TimeProvider clock) : BackgroundService
{
    private static readonly TimeSpan Tick = TimeSpan.FromSeconds(15);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        var due = new RestDue();
        using var timer = new PeriodicTimer(Tick, clock);
        try
        {
            while (await timer.WaitForNextTickAsync(stoppingToken).ConfigureAwait(false))
            {
                if (due.Ask(GC.GetTotalAllocatedBytes()))
                {
                    GCSettings.LargeObjectHeapCompactionMode = GCLargeObjectHeapCompactionMode.CompactOnce;
                    GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
                }

                if (due.IsQuiet)
                {
                    NativeHeap.Trim();
                }
            }
        }
        catch (OperationCanceledException) when (stoppingToken.IsCancellationRequested)
        {
            // The host stops.
        }
    }
}
