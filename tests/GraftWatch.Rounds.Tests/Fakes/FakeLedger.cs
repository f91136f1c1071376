using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Rounds.Tests.Fakes;

/// <summary>A ledger in memory with the promises of the port: slots by occasion, numbers used once, claims with epochs.</summary>
internal sealed class FakeLedger : ILedger, ISaidMemory, ILetterClaims
{
    private readonly Lock gate = new();
    private readonly Dictionary<LetterSlot, Row> rows = [];
    private long epochs;

    internal Action? BeforeSeal { get; set; }

    internal LocalDate? ClosedBefore { get; set; }

    internal List<IReadOnlyList<SaidLine>> Said { get; } = [];

    internal IReadOnlyCollection<LedgerEntry> Entries
    {
        get
        {
            lock (gate)
            {
                return [.. rows.Values.Select(row => row.Entry)];
            }
        }
    }

    internal LedgerEntry this[LetterSlot slot] => Entries.Single(entry => entry.Letter.Slot == slot);

    public Task<LedgerEntry?> FindAsync(LetterSlot slot, CancellationToken cancellationToken) => Task.FromResult(Entries.FirstOrDefault(entry => entry.Letter.Slot == slot));

    public Task<DayOfLetters> LookAsync(string grower, LocalDate date, LetterKind kind, CancellationToken cancellationToken)
    {
        LedgerEntry[] day = [.. Entries.Where(entry => entry.Letter.Slot is var slot && slot.Grower == grower && slot.Date == date && slot.Kind == kind)];
        return Task.FromResult(new DayOfLetters(day.Select(entry => entry.Letter.Slot.Ordinal + 1).DefaultIfEmpty(0).Max(), day.Max(entry => (Instant?)entry.Letter.SealedAt), date < ClosedBefore));
    }

    public Task<IReadOnlyList<LedgerEntry>> LoadOccasionAsync(LetterSlot slot, CancellationToken cancellationToken) =>
        Task.FromResult<IReadOnlyList<LedgerEntry>>([.. Entries.Where(entry => entry.Letter.Slot with { Channel = slot.Channel } == slot)]);

    public Task<LedgerEntry?> FindLastAsync(string grower, LetterKind kind, string channel, LocalDate before, CancellationToken cancellationToken) => Task.FromResult(
        Entries.Where(entry => entry.Letter.Slot is var slot && slot.Grower == grower && slot.Kind == kind && slot.Channel == channel && slot.Date < before).MaxBy(entry => entry.Letter.Slot.Date));

    public Task<int> NextNumberAsync(string grower, CancellationToken cancellationToken) =>
        Task.FromResult(1 + Entries.Where(entry => entry.Letter.Slot.Grower == grower).Select(entry => entry.Letter.Number).DefaultIfEmpty(0).Max());

    public Task<bool> SealAsync(SealedLetter letter, CancellationToken cancellationToken) => SealAsync([letter], [], cancellationToken);

    public Task<bool> SealAsync(IReadOnlyList<SealedLetter> letters, IReadOnlyList<SaidLine> said, CancellationToken cancellationToken)
    {
        BeforeSeal?.Invoke();
        lock (gate)
        {
            SealedLetter first = letters[0];
            if (first.Slot.Date < ClosedBefore || rows.Keys.Any(slot => slot with { Channel = first.Slot.Channel } == first.Slot))
            {
                return Task.FromResult(false);
            }

            if (rows.Values.Any(row => row.Entry.Letter.Slot.Grower == first.Slot.Grower && row.Entry.Letter.Number >= first.Number))
            {
                throw new LetterNumberTakenException(first.Slot.Grower, first.Number);
            }

            foreach (SealedLetter letter in letters)
            {
                rows.Add(letter.Slot, new Row(new LedgerEntry(letter, LetterState.Waiting, 0, null, string.Empty)));
            }

            Said.Add(said);
            return Task.FromResult(true);
        }
    }

    public Task RecordTryAsync(LetterSlot slot, DeliveryResult result, Instant at, CancellationToken cancellationToken)
    {
        lock (gate)
        {
            Record(rows[slot], result, at);
        }

        return Task.CompletedTask;
    }

    public Task<IReadOnlyList<LedgerEntry>> LoadWaitingAsync(CancellationToken cancellationToken) =>
        Task.FromResult<IReadOnlyList<LedgerEntry>>([.. Entries.Where(entry => entry.State == LetterState.Waiting).OrderBy(entry => entry.Letter.SealedAt)]);

    public Task<IReadOnlyList<WaitingOnChannel>> CountWaitingAsync(CancellationToken cancellationToken) => Task.FromResult<IReadOnlyList<WaitingOnChannel>>(
        [.. Entries.Where(entry => entry.State == LetterState.Waiting).GroupBy(entry => entry.Letter.Slot.Channel).Select(group => new WaitingOnChannel(group.Key, group.Count(), group.Min(entry => entry.Letter.SealedAt)))]);

    public Task<long> AnswerAsync(string grower, SaidAnswer answer, CancellationToken cancellationToken) => Task.FromResult(1L);

    public Task<UndoOutcome> UndoAnswerAsync(string grower, long answer, Instant at, CancellationToken cancellationToken) => Task.FromResult(UndoOutcome.NotFound);

    public Task<IReadOnlyList<ClaimedLetter>> ClaimAsync(string owner, ClaimWish wish, Duration lease, Instant now, CancellationToken cancellationToken)
    {
        lock (gate)
        {
            Row[] due =
            [
                .. rows.Values.Where(row => row is { Owner: "", Entry.State: LetterState.Waiting } && IsWanted(row, wish, now) && UselessFrom(row) > now
                    && (wish.Only ?? row.Channel) == row.Channel && !wish.Except.Contains(row.Channel)).OrderBy(row => row.Entry.Letter.SealedAt).Take(wish.Most),
            ];
            foreach (Row row in due)
            {
                row.Owner = owner;
                row.Epoch = ++epochs;
            }

            return Task.FromResult<IReadOnlyList<ClaimedLetter>>([.. due.Select(row => new ClaimedLetter(row.Entry, owner, row.Epoch))]);
        }
    }

    /// <summary>Runs at each start and renewal, before it is noted; it may throw, as a store that is away does.</summary>
    internal Action? BeforeStart { get; set; }

    /// <summary>How often a worker showed that it is there.</summary>
    internal int Presences { get; private set; }

    public Task ShowPresenceAsync(string owner, CancellationToken cancellationToken)
    {
        Presences++;
        return Task.CompletedTask;
    }

    public Task<bool> StartAsync(ClaimedLetter claim, Duration lease, CancellationToken cancellationToken)
    {
        BeforeStart?.Invoke();
        lock (gate)
        {
            Row row = rows[claim.Entry.Letter.Slot];
            bool mine = row.Epoch == claim.Epoch && row.Owner == claim.Owner && row.Entry.State == LetterState.Waiting;
            row.Started |= mine;
            return Task.FromResult(mine);
        }
    }

    public Task<bool> FinishAsync(ClaimedLetter claim, DeliveryResult result, Instant at, Instant? nextTryAt, CancellationToken cancellationToken)
    {
        lock (gate)
        {
            Row row = rows[claim.Entry.Letter.Slot];
            Record(row, result, at);
            (row.Owner, row.Started, row.NextTryAt) = (string.Empty, false, nextTryAt);
            return Task.FromResult(true);
        }
    }

    public Task LetGoAsync(IReadOnlyList<ClaimedLetter> claims, CancellationToken cancellationToken)
    {
        lock (gate)
        {
            foreach (Row row in claims.Select(claim => rows[claim.Entry.Letter.Slot]).Where(row => !row.Started))
            {
                row.Owner = string.Empty;
            }
        }

        return Task.CompletedTask;
    }

    public Task<IReadOnlyList<LetterSlot>> TakeBackAsync(string owner, Instant now, CancellationToken cancellationToken)
    {
        lock (gate)
        {
            Row[] held = [.. rows.Values.Where(row => row.Owner == owner)];
            LetterSlot[] doubt = [.. held.Where(row => row.Started).Select(row => row.Entry.Letter.Slot)];
            foreach (Row row in held)
            {
                (row.Owner, row.Started) = (string.Empty, false);
            }

            return Task.FromResult<IReadOnlyList<LetterSlot>>(doubt);
        }
    }

    public Task<IReadOnlyList<LedgerEntry>> GiveUpUselessAsync(Instant now, int most, CancellationToken cancellationToken)
    {
        lock (gate)
        {
            Row[] useless = [.. rows.Values.Where(row => row is { Owner: "", Entry.State: LetterState.Waiting } && UselessFrom(row) <= now).Take(most)];
            foreach (Row row in useless)
            {
                Record(row, new DeliveryResult(DeliveryOutcome.GiveUp, DeliveryReason.TooLate, "Too late; the last one said: " + row.Entry.LastDetail), now);
            }

            return Task.FromResult<IReadOnlyList<LedgerEntry>>([.. useless.Select(row => row.Entry)]);
        }
    }

    /// <summary>Letters in somebody's hands.</summary>
    internal int Held
    {
        get
        {
            lock (gate)
            {
                return rows.Values.Count(row => row.Owner.Length > 0);
            }
        }
    }

    private static bool IsWanted(Row row, ClaimWish wish, Instant now) =>
        wish.Occasion is { } occasion ? row.Entry.Letter.Slot with { Channel = occasion.Channel } == occasion : (row.NextTryAt ?? now) <= now;

    private static Instant UselessFrom(Row row) => row.Entry.Letter.UsefulUntil ?? row.Entry.Letter.SealedAt + SealedLetter.UsualUse;

    private static void Record(Row row, DeliveryResult result, Instant at)
    {
        LetterState state = result.Outcome switch
        {
            DeliveryOutcome.Accepted => LetterState.Accepted,
            DeliveryOutcome.GiveUp => LetterState.GivenUp,
            _ => LetterState.Waiting,
        };
        row.Entry = row.Entry with { State = state, Tries = row.Entry.Tries + 1, LastTryAt = at, LastDetail = result.Detail };
    }

    private sealed class Row(LedgerEntry entry)
    {
        public LedgerEntry Entry { get; set; } = entry;

        public string Channel => Entry.Letter.Slot.Channel;

        public string Owner { get; set; } = string.Empty;

        public long Epoch { get; set; }

        public bool Started { get; set; }

        public Instant? NextTryAt { get; set; }
    }
}
