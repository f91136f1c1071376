using System.Collections.Concurrent;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Rounds.Tests.Fakes;

internal sealed class FakeChannel : ILetterChannel
{
    private readonly ConcurrentQueue<SealedLetter> tried = new();
    private int atOnce;

    internal Func<SealedLetter, DeliveryResult> Answer { get; set; } = _ => DeliveryResult.Accepted("250 taken");

    internal Func<CancellationToken, Task> Wait { get; set; } = _ => Task.CompletedTask;

    internal IReadOnlyList<SealedLetter> Tried => [.. tried];

    internal int MostAtOnce { get; private set; }

    public async Task<DeliveryResult> DeliverAsync(SealedLetter letter, CancellationToken cancellationToken)
    {
        tried.Enqueue(letter);
        MostAtOnce = Math.Max(MostAtOnce, Interlocked.Increment(ref atOnce));
        await Wait(cancellationToken);
        Interlocked.Decrement(ref atOnce);
        return Answer(letter);
    }
}

internal sealed class FakeWorker(string name = "here/1") : IWorkerName
{
    public Task<string> NameAsync(CancellationToken cancellationToken) => Task.FromResult(name);
}
