using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>Hands waiting letters over, each try recorded; what a server or network does never throws.</summary>
/// <remarks>
/// While the mail server cannot be reached, one letter a pause is tried and the others wait behind it, so a server that
/// comes back is not met by a storm and no letter uses up its tries.
/// </remarks>
public sealed class DeliveryRun(ILedger ledger, ILetterChannel channel, ILogger<DeliveryRun> logger)
{
    private int serverFailures;
    private Instant? serverFailedAt;

    /// <summary>Goes through the waiting letters once.</summary>
    /// <param name="settings">For the zones and hours of the growers.</param>
    /// <param name="clock">Read before each try: a long queue takes time.</param>
    /// <param name="cancellationToken">Stops before the next letter.</param>
    public async Task<DeliveryTally> RunAsync(MorningSettings settings, Func<Instant> clock, CancellationToken cancellationToken)
    {
        var tally = new DeliveryTally();
        foreach (LedgerEntry entry in await ledger.LoadWaitingAsync(cancellationToken).ConfigureAwait(false))
        {
            cancellationToken.ThrowIfCancellationRequested();
            Instant now = clock();
            RetryDecision decision = RetryPolicy.Decide(entry.Tries, entry.LastTryAt, TooLateAt(entry.Letter, settings), now);
            switch (decision.Step)
            {
                case RetryStep.TooLate:
                    await GiveUpAsync(entry, now, cancellationToken).ConfigureAwait(false);
                    tally = tally with { GivenUp = tally.GivenUp + 1 };
                    break;
                case RetryStep.Try when ServerMayBeTried(now):
                    DeliveryResult result = await TryAsync(entry, now, cancellationToken).ConfigureAwait(false);
                    tally = tally.Plus(result);
                    break;
                default:
                    tally = tally with { Waiting = tally.Waiting + 1 };
                    break;
            }
        }

        return tally;
    }

    private static Instant TooLateAt(SealedLetter letter, MorningSettings settings) =>
        settings.Growers.FirstOrDefault(grower => grower.Name == letter.Slot.Grower) is { } grower
            ? LetterSchedule.TooLateAt(grower, letter.Slot.Date, settings.Policy)
            : letter.SealedAt + Duration.FromHours(12);

    private bool ServerMayBeTried(Instant now) =>
        RetryPolicy.Decide(serverFailures, serverFailedAt, Instant.MaxValue, now).Step == RetryStep.Try;

    private async Task<DeliveryResult> TryAsync(LedgerEntry entry, Instant now, CancellationToken cancellationToken)
    {
        DeliveryResult result = await channel.DeliverAsync(entry.Letter, cancellationToken).ConfigureAwait(false);
        // The server has answered: what it said is recorded even while the program is being stopped.
        await ledger.RecordTryAsync(entry.Letter.Slot, result, now, CancellationToken.None).ConfigureAwait(false);
        bool serverFailed = result.Outcome != DeliveryOutcome.Accepted
            && result.Reason is DeliveryReason.Connection or DeliveryReason.SignIn or DeliveryReason.Security or DeliveryReason.NotSetUp;
        serverFailures = serverFailed ? serverFailures + 1 : 0;
        serverFailedAt = serverFailed ? now : null;
        if (result.Outcome == DeliveryOutcome.Accepted)
        {
            Log.LetterAccepted(logger, entry.Letter.Slot.Grower, entry.Letter.Slot.Date, entry.Tries + 1);
        }
        else
        {
            Log.LetterNotTaken(logger, entry.Letter.Slot.Grower, entry.Letter.Slot.Date, entry.Tries + 1, result.Outcome, result.Reason, result.Detail);
        }

        return result;
    }

    private async Task GiveUpAsync(LedgerEntry entry, Instant now, CancellationToken cancellationToken)
    {
        string detail = entry.Tries == 0
            ? "It could not be handed over before its too-late hour."
            : $"Too late after {entry.Tries} tries; the last one said: {entry.LastDetail}";
        var result = new DeliveryResult(DeliveryOutcome.GiveUp, DeliveryReason.TooLate, detail);
        await ledger.RecordTryAsync(entry.Letter.Slot, result, now, cancellationToken).ConfigureAwait(false);
        Log.LetterGivenUp(logger, entry.Letter.Slot.Grower, entry.Letter.Slot.Date, detail);
    }
}

/// <summary>What one pass over the waiting letters did.</summary>
/// <param name="Accepted">Letters a server took.</param>
/// <param name="Waiting">Letters that wait for another try.</param>
/// <param name="GivenUp">Letters given up.</param>
public sealed record DeliveryTally(int Accepted = 0, int Waiting = 0, int GivenUp = 0)
{
    internal DeliveryTally Plus(DeliveryResult result) => result.Outcome switch
    {
        DeliveryOutcome.Accepted => this with { Accepted = Accepted + 1 },
        DeliveryOutcome.GiveUp => this with { GivenUp = GivenUp + 1 },
        DeliveryOutcome.TryLater or DeliveryOutcome.Unknown => this with { Waiting = Waiting + 1 },
        _ => throw new System.Diagnostics.UnreachableException(),
    };
}
