using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using NodaTime;

namespace GraftWatch.Serving.Metrics;

/// <summary>Counts letters as they are sealed.</summary>
internal sealed class MeasuredSealing(ISaidMemory said, ServeMetrics metrics) : ISaidMemory
{
    public async Task<bool> SealAsync(IReadOnlyList<SealedLetter> letters, IReadOnlyList<SaidLine> lines, CancellationToken cancellationToken)
    {
        bool done = await said.SealAsync(letters, lines, cancellationToken).ConfigureAwait(false);
        foreach (SealedLetter letter in done ? letters : [])
        {
            metrics.Letter(letter.Slot, "sealed");
        }

        return done;
    }

    public Task<long> AnswerAsync(string grower, SaidAnswer answer, CancellationToken cancellationToken) => said.AnswerAsync(grower, answer, cancellationToken);

    public Task<UndoOutcome> UndoAnswerAsync(string grower, long answer, Instant at, CancellationToken cancellationToken) => said.UndoAnswerAsync(grower, answer, at, cancellationToken);
}

/// <summary>Counts letters as they leave, and how long after their hour; each try shows that deliveries are alive.</summary>
internal sealed class MeasuredClaims(ILetterClaims claims, ServeMetrics metrics, ServeState state, SettingsInForce settings) : ILetterClaims
{
    public Task<IReadOnlyList<ClaimedLetter>> ClaimAsync(string owner, ClaimWish wish, Duration lease, Instant now, CancellationToken cancellationToken) =>
        claims.ClaimAsync(owner, wish, lease, now, cancellationToken);

    public Task<bool> StartAsync(ClaimedLetter claim, Duration lease, CancellationToken cancellationToken)
    {
        state.Pulse.Delivered();
        return claims.StartAsync(claim, lease, cancellationToken);
    }

    public Task ShowPresenceAsync(string owner, CancellationToken cancellationToken) => claims.ShowPresenceAsync(owner, cancellationToken);

    public async Task<bool> FinishAsync(ClaimedLetter claim, DeliveryResult result, Instant at, Instant? nextTryAt, CancellationToken cancellationToken)
    {
        bool noted = await claims.FinishAsync(claim, result, at, nextTryAt, cancellationToken).ConfigureAwait(false);
        state.Pulse.Delivered();
        if (noted && result.Outcome == DeliveryOutcome.Accepted)
        {
            metrics.Letter(claim.Entry.Letter.Slot, "accepted");
            metrics.Delay(claim.Entry.Letter.Slot, at - DueAt(claim.Entry.Letter));
        }
        else if (noted && result.Outcome == DeliveryOutcome.GiveUp)
        {
            metrics.Letter(claim.Entry.Letter.Slot, "given-up");
        }

        return noted;
    }

    public Task LetGoAsync(IReadOnlyList<ClaimedLetter> held, CancellationToken cancellationToken) => claims.LetGoAsync(held, cancellationToken);

    public Task<IReadOnlyList<LetterSlot>> TakeBackAsync(string owner, Instant now, CancellationToken cancellationToken) => claims.TakeBackAsync(owner, now, cancellationToken);

    public async Task<IReadOnlyList<LedgerEntry>> GiveUpUselessAsync(Instant now, int most, CancellationToken cancellationToken)
    {
        IReadOnlyList<LedgerEntry> given = await claims.GiveUpUselessAsync(now, most, cancellationToken).ConfigureAwait(false);
        foreach (LedgerEntry entry in given)
        {
            metrics.Letter(entry.Letter.Slot, "given-up");
        }

        return given;
    }

    // A note between letters is due when it is made, and so is a letter of a grower whose hour is not in the file.
    private Instant DueAt(SealedLetter letter) =>
        letter.Slot.Kind == LetterKind.Morning
        && settings.Current.Morning.Growers.FirstOrDefault(grower => grower.Name == letter.Slot.Grower) is { } grower
        && LetterSchedule.DueAt(grower, letter.Slot.Date) is { } due
            ? due
            : letter.SealedAt;
}
