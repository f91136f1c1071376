using GraftWatch.Rounds.Ports;

namespace GraftWatch.Rounds.Tests.Fakes;

internal sealed class FakeChannel : ILetterChannel
{
    internal Func<SealedLetter, DeliveryResult> Answer { get; set; } = _ => DeliveryResult.Accepted("250 taken");

    internal List<SealedLetter> Tried { get; } = [];

    public Task<DeliveryResult> DeliverAsync(SealedLetter letter, CancellationToken cancellationToken)
    {
        Tried.Add(letter);
        return Task.FromResult(Answer(letter));
    }
}
