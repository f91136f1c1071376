using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Rounds.Tests.Fakes;

internal sealed class FakeLedger : ILedger, ISaidMemory
{
    private readonly System.Collections.Concurrent.ConcurrentDictionary<LetterSlot, LedgerEntry> entries = new();

    internal IReadOnlyCollection<LedgerEntry> Entries => [.. entries.Values];

    internal LedgerEntry this[LetterSlot slot] => entries[slot];

    public Task<LedgerEntry?> FindAsync(LetterSlot slot, CancellationToken cancellationToken) => Task.FromResult(entries.GetValueOrDefault(slot));

    public Task<int> NextNumberAsync(string grower, CancellationToken cancellationToken) =>
        Task.FromResult(1 + entries.Values.Where(e => e.Letter.Slot.Grower == grower).Select(e => e.Letter.Number).DefaultIfEmpty(0).Max());

    public Task<bool> SealAsync(SealedLetter letter, CancellationToken cancellationToken) =>
        Task.FromResult(entries.TryAdd(letter.Slot, new LedgerEntry(letter, LetterState.Waiting, 0, null, string.Empty)));

    public Task RecordTryAsync(LetterSlot slot, DeliveryResult result, Instant at, CancellationToken cancellationToken)
    {
        LedgerEntry entry = entries[slot];
        LetterState state = result.Outcome switch
        {
            DeliveryOutcome.Accepted => LetterState.Accepted,
            DeliveryOutcome.GiveUp => LetterState.GivenUp,
            _ => LetterState.Waiting,
        };
        entries[slot] = entry with { State = state, Tries = entry.Tries + 1, LastTryAt = at, LastDetail = result.Detail };
        return Task.CompletedTask;
    }

    public Task<IReadOnlyList<LedgerEntry>> LoadWaitingAsync(CancellationToken cancellationToken) =>
        Task.FromResult<IReadOnlyList<LedgerEntry>>([.. entries.Values.Where(e => e.State == LetterState.Waiting).OrderBy(e => e.Letter.SealedAt)]);

    public Task<bool> SealAsync(SealedLetter letter, IReadOnlyList<SaidLine> said, CancellationToken cancellationToken) => SealAsync(letter, cancellationToken);

    public Task<long> AnswerAsync(string grower, SaidAnswer answer, CancellationToken cancellationToken) => Task.FromResult(1L);

    public Task<UndoOutcome> UndoAnswerAsync(string grower, long answer, Instant at, CancellationToken cancellationToken) => Task.FromResult(UndoOutcome.NotFound);
}
