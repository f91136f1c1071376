using System.Collections.Concurrent;
using System.Diagnostics;
using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Crash.Lives;

/// <summary>The ledger between points.</summary>
internal sealed class WatchedLedger(ILedger inner, Spoil spoil) : ILedger
{
    public Task<LedgerEntry?> FindAsync(LetterSlot slot, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("the slot is looked up", () => inner.FindAsync(slot, cancellationToken));

    public Task<int> NextNumberAsync(string grower, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("the number is taken", () => inner.NextNumberAsync(grower, cancellationToken));

    public Task<bool> SealAsync(SealedLetter letter, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("the letter is sealed", () => inner.SealAsync(letter, cancellationToken));

    public async Task RecordTryAsync(LetterSlot slot, DeliveryResult result, Instant at, CancellationToken cancellationToken)
    {
        if (spoil == Spoil.ReceiptNever && result.Outcome == DeliveryOutcome.Accepted)
        {
            return;
        }

        KillSwitch.Here("before the outcome is noted");
        await inner.RecordTryAsync(slot, result, at, cancellationToken);
        Receipts.Noted(slot, result);
        KillSwitch.Here("after the outcome is noted");
    }

    public Task<IReadOnlyList<LedgerEntry>> LoadWaitingAsync(CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("waiting letters are loaded", () => inner.LoadWaitingAsync(cancellationToken));
}

/// <summary>The memory of what was said between points.</summary>
internal sealed class WatchedSaid(ISaidMemory inner, Spoil spoil) : ISaidMemory
{
    private int sealings;

    public Task<bool> SealAsync(SealedLetter letter, IReadOnlyList<SaidLine> said, CancellationToken cancellationToken) =>
        spoil == Spoil.SealForgotten && Interlocked.Increment(ref sealings) % 5 == 0
            ? Task.FromResult(true)
            : KillSwitch.AroundAsync("the letter is sealed", () => inner.SealAsync(letter, said, cancellationToken));

    public Task<long> AnswerAsync(string grower, SaidAnswer answer, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("an answer is kept", () => inner.AnswerAsync(grower, answer, cancellationToken));

    public Task<UndoOutcome> UndoAnswerAsync(string grower, long answer, Instant at, CancellationToken cancellationToken) =>
        inner.UndoAnswerAsync(grower, answer, at, cancellationToken);
}

/// <summary>The channel between points.</summary>
internal sealed class WatchedChannel(ILetterChannel inner, ILedger ledger, SharedClock clock, Spoil spoil) : ILetterChannel, IAsyncDisposable
{
    private int tries;

    public async Task<DeliveryResult> DeliverAsync(SealedLetter letter, CancellationToken cancellationToken)
    {
        if (spoil == Spoil.ReceiptFirst)
        {
            await ledger.RecordTryAsync(letter.Slot, DeliveryResult.Accepted("250 surely"), Instant.FromDateTimeOffset(clock.GetUtcNow()), CancellationToken.None);
        }

        if (spoil == Spoil.OtherBytes)
        {
            byte[] more = System.Text.Encoding.ASCII.GetBytes($"X-Try: {Environment.ProcessId} {Interlocked.Increment(ref tries)}\r\n");
            letter = letter with { Bytes = (byte[])[.. more, .. letter.Bytes.Span] };
        }

        Receipts.Of(letter);
        return await KillSwitch.AroundAsync("a letter is handed over", () => inner.DeliverAsync(letter, cancellationToken));
    }

    public ValueTask DisposeAsync() => inner is IAsyncDisposable lines ? lines.DisposeAsync() : ValueTask.CompletedTask;
}

/// <summary>The register between points.</summary>
internal sealed class WatchedRegister(IRegister inner) : IRegister
{
    public Task<IReadOnlyList<Graft>> LoadGraftsAsync(string grower, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("grafts are loaded", () => inner.LoadGraftsAsync(grower, cancellationToken));

    public Task<IReadOnlyList<Observation>> LoadObservationsAsync(string grower, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("observations are loaded", () => inner.LoadObservationsAsync(grower, cancellationToken));

    public Task<IReadOnlyList<SaidBefore>> LoadSaidAsync(string grower, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("what was said is loaded", () => inner.LoadSaidAsync(grower, cancellationToken));

    public string TroubleOf(string grower) => inner.TroubleOf(grower);
}

/// <summary>The composer between points.</summary>
internal sealed class WatchedComposer(ILetterComposer inner) : ILetterComposer
{
    public SealedLetter Compose(Round round, Grower grower, int number, Instant now) => inner.Compose(round, grower, number, now);

    public SealedLetter Compose(Round round, Grower grower, LetterOccasion occasion)
    {
        KillSwitch.Here("before the letter is composed");
        SealedLetter letter = inner.Compose(round, grower, occasion);
        KillSwitch.Here("after the letter is composed");
        return letter;
    }
}

/// <summary>Kept weather between points.</summary>
internal sealed class WatchedHistory(IWeatherHistory inner) : IWeatherHistory
{
    public Task<KeptWeather?> LoadAsync(string place, Instant from, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("kept weather is loaded", () => inner.LoadAsync(place, from, cancellationToken));

    public Task SaveAsync(string place, KeptWeather weather, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("weather is kept", () => inner.SaveAsync(place, weather, cancellationToken));
}

/// <summary>Tallies of requests between points.</summary>
internal sealed class WatchedTallies(IRequestTallies inner) : IRequestTallies
{
    public Task<RequestTally?> FindAsync(string host, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("a tally is loaded", () => inner.FindAsync(host, cancellationToken));

    public Task SaveAsync(RequestTally tally, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("a tally is kept", () => inner.SaveAsync(tally, cancellationToken));
}

/// <summary>Tells the watcher when a receipt was noted, by the clock both share.</summary>
internal static class Receipts
{
    private static readonly ConcurrentDictionary<LetterSlot, string> Ids = new();

    /// <summary>A letter is being handed over.</summary>
    internal static void Of(SealedLetter letter) => Ids[letter.Slot] = letter.MessageId;

    /// <summary>Its outcome was noted.</summary>
    internal static void Noted(LetterSlot slot, DeliveryResult result)
    {
        long at = Stopwatch.GetTimestamp();
        if (result.Outcome == DeliveryOutcome.Accepted && Ids.TryRemove(slot, out string? id))
        {
            OneLife.Say(string.Create(CultureInfo.InvariantCulture, $"F {id} {at}"));
        }
    }
}
