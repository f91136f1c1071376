using System.Diagnostics;
using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Crash.Lives;

/// <summary>The ledger between points.</summary>
internal sealed class WatchedLedger(ILedger inner) : ILedger
{
    public Task<LedgerEntry?> FindAsync(LetterSlot slot, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("the slot is looked up", () => inner.FindAsync(slot, cancellationToken));

    public Task<DayOfLetters> LookAsync(string grower, LocalDate date, LetterKind kind, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync($"the {(kind == LetterKind.Urgent ? "notes" : "letters")} of the day are looked up", () => inner.LookAsync(grower, date, kind, cancellationToken));

    public Task<IReadOnlyList<LedgerEntry>> LoadOccasionAsync(LetterSlot slot, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("yesterday's letter is looked up", () => inner.LoadOccasionAsync(slot, cancellationToken));

    public Task<LedgerEntry?> FindLastAsync(string grower, LetterKind kind, string channel, LocalDate before, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("the last letter is looked up", () => inner.FindLastAsync(grower, kind, channel, before, cancellationToken));

    public Task<int> NextNumberAsync(string grower, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("the number is taken", () => inner.NextNumberAsync(grower, cancellationToken));

    public Task<bool> SealAsync(SealedLetter letter, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("the letter is sealed", () => inner.SealAsync(letter, cancellationToken));

    public Task RecordTryAsync(LetterSlot slot, DeliveryResult result, Instant at, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("a try is noted", () => inner.RecordTryAsync(slot, result, at, cancellationToken));

    public Task<IReadOnlyList<LedgerEntry>> LoadWaitingAsync(CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("waiting letters are loaded", () => inner.LoadWaitingAsync(cancellationToken));

    public Task<IReadOnlyList<WaitingOnChannel>> CountWaitingAsync(CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("waiting letters are counted", () => inner.CountWaitingAsync(cancellationToken));
}

/// <summary>The memory of what was said between points.</summary>
internal sealed class WatchedSaid(ISaidMemory inner, Spoil spoil) : ISaidMemory
{
    private int sealings;

    public Task<bool> SealAsync(IReadOnlyList<SealedLetter> letters, IReadOnlyList<SaidLine> said, CancellationToken cancellationToken) =>
        spoil == Spoil.SealForgotten && Interlocked.Increment(ref sealings) % 5 == 0
            ? Task.FromResult(true)
            : KillSwitch.AroundAsync($"the {(letters[0].Slot.Kind == LetterKind.Urgent ? "note" : "letter")} is sealed", () => inner.SealAsync(letters, said, cancellationToken));

    public Task<long> AnswerAsync(string grower, SaidAnswer answer, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("an answer is kept", () => inner.AnswerAsync(grower, answer, cancellationToken));

    public Task<UndoOutcome> UndoAnswerAsync(string grower, long answer, Instant at, CancellationToken cancellationToken) =>
        inner.UndoAnswerAsync(grower, answer, at, cancellationToken);
}

/// <summary>The sharing of waiting letters between points.</summary>
internal sealed class WatchedClaims(ILetterClaims inner, Spoil spoil) : ILetterClaims
{
    public Task<IReadOnlyList<ClaimedLetter>> ClaimAsync(string owner, ClaimWish wish, Duration lease, Instant now, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("letters are claimed", () => inner.ClaimAsync(owner, wish, lease, now, cancellationToken));

    public Task<bool> StartAsync(ClaimedLetter claim, Duration lease, CancellationToken cancellationToken) =>
        spoil == Spoil.StartSkipped
            ? Task.FromResult(true)
            : KillSwitch.AroundAsync("the start is noted", () => inner.StartAsync(claim, lease, cancellationToken));

    public Task ShowPresenceAsync(string owner, CancellationToken cancellationToken) => inner.ShowPresenceAsync(owner, cancellationToken);

    public async Task<bool> FinishAsync(ClaimedLetter claim, DeliveryResult result, Instant at, Instant? nextTryAt, CancellationToken cancellationToken)
    {
        if (spoil == Spoil.ReceiptNever && result.Outcome == DeliveryOutcome.Accepted)
        {
            return await inner.FinishAsync(claim, result with { Outcome = DeliveryOutcome.TryLater }, at, nextTryAt, cancellationToken);
        }

        KillSwitch.Here("before the receipt is noted");
        bool noted = await inner.FinishAsync(claim, result, at, nextTryAt, cancellationToken);
        if (result.Outcome == DeliveryOutcome.Accepted)
        {
            OneLife.Say(string.Create(CultureInfo.InvariantCulture, $"F {claim.Entry.Letter.MessageId} {Stopwatch.GetTimestamp()}"));
        }

        KillSwitch.Here("after the receipt is noted");
        return noted;
    }

    public Task LetGoAsync(IReadOnlyList<ClaimedLetter> claims, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("claims are let go", () => inner.LetGoAsync(claims, cancellationToken));

    public Task<IReadOnlyList<LetterSlot>> TakeBackAsync(string owner, Instant now, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("letters in hand are taken back", () => inner.TakeBackAsync(owner, now, cancellationToken));

    public Task<IReadOnlyList<LedgerEntry>> GiveUpUselessAsync(Instant now, int most, CancellationToken cancellationToken) =>
        KillSwitch.AroundAsync("useless letters are given up", () => inner.GiveUpUselessAsync(now, most, cancellationToken));
}

/// <summary>The channel between points.</summary>
internal sealed class WatchedChannel(ILetterChannel inner, ILedger ledger, SharedClock clock, Spoil spoil) : ILetterChannel
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

        return await KillSwitch.AroundAsync("a letter is handed over", () => inner.DeliverAsync(letter, cancellationToken));
    }
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

    public SealedLetter Compose(Round round, Grower grower, LetterOccasion occasion) => inner.Compose(round, grower, occasion);

    public IReadOnlyList<SealedLetter> ComposeAll(Round round, Grower grower, LetterOccasion occasion)
    {
        KillSwitch.Here("before the letter is composed");
        IReadOnlyList<SealedLetter> letters = inner.ComposeAll(round, grower, occasion);
        KillSwitch.Here("after the letter is composed");
        return letters;
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
