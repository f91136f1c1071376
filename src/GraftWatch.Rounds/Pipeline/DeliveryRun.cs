using System.Collections.Concurrent;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>Hands waiting letters over, each try recorded; what a server or network does never throws.</summary>
/// <remarks>
/// Letters are claimed before they are touched, so runs in one or many programs never hand the same one over side by side.
/// While a server cannot be reached, one letter a pause is tried and the others wait behind it, so a server that comes back
/// is not met by a storm and no letter uses up its tries. Mail and the other channels go side by side; neither waits for the other.
/// </remarks>
/// <param name="claims">Waiting letters.</param>
/// <param name="ledger">Counts what waits.</param>
/// <param name="channel">Carries them.</param>
/// <param name="worker">Name of this worker, stable over restarts and nobody else's.</param>
/// <param name="time">Paces the renewal of leases while a server answers.</param>
/// <param name="logger">Log.</param>
public sealed class DeliveryRun(ILetterClaims claims, ILedger ledger, ILetterChannel channel, IWorkerName worker, TimeProvider time, ILogger<DeliveryRun> logger)
{
    // Renewed when a letter is started and while it is on the line. Short, so that what a dead machine held is free again within a minute.
    private static readonly Duration Lease = Duration.FromSeconds(25);
    private static readonly TimeSpan Renewal = TimeSpan.FromSeconds(8);
    private const int Batch = 16;

    // By mail no more than there are lines to the server: only a letter on a line is in doubt when the program dies.
    private const int MailAtOnce = 4;
    private const int OthersAtOnce = 8;
    private const int GiveUpAtOnce = 100;

    private readonly ConcurrentDictionary<string, ChannelPulse> pulses = new(StringComparer.Ordinal);
    private readonly ConcurrentQueue<Outcome> unnoted = new();
    private readonly ConcurrentDictionary<LetterSlot, byte> onTheLine = new();
    private string? owner;

    /// <summary>Goes through the waiting letters once.</summary>
    /// <param name="clock">Read before each try: a long queue takes time.</param>
    /// <param name="cancellationToken">Stops before the next letter; a letter on the line is ended and noted.</param>
    public async Task<DeliveryTally> RunAsync(Func<Instant> clock, CancellationToken cancellationToken)
    {
        var pass = new Pass(clock, cancellationToken);
        owner ??= await TakeBackAsync(clock(), cancellationToken).ConfigureAwait(false);
        await NoteAgainAsync().ConfigureAwait(false);
        await GiveUpUselessAsync(pass).ConfigureAwait(false);
        await Task.WhenAll(
            LaneAsync(pass, MailAtOnce, now => MayTry(LetterSlot.Mail, now) ? new ClaimWish(Most(LetterSlot.Mail)) { Only = LetterSlot.Mail } : null),
            LaneAsync(pass, OthersAtOnce, now => new ClaimWish(Batch) { Except = [LetterSlot.Mail, .. pulses.Where(pair => !pair.Value.MayTry(now)).Select(pair => pair.Key)] })).ConfigureAwait(false);
        IReadOnlyList<WaitingOnChannel> waiting = await ledger.CountWaitingAsync(cancellationToken).ConfigureAwait(false);
        return pass.Tally(waiting, [.. pulses.Select(pair => pair.Value.TroubleOf(pair.Key)).OfType<ChannelTrouble>().OrderBy(trouble => trouble.Channel, StringComparer.Ordinal)]);
    }

    /// <summary>Hands the letters of one occasion over now, for somebody who waits for it; each is claimed and noted as in a pass.</summary>
    /// <param name="occasion">Which; on whatever channel.</param>
    /// <param name="clock">Read before each try.</param>
    /// <param name="cancellationToken">Stops before the next letter; a letter on the line is ended and noted.</param>
    /// <returns>The letters tried here. One that waits and is not among them is in other hands.</returns>
    public async Task<IReadOnlyCollection<LetterSlot>> HandOverAsync(LetterSlot occasion, Func<Instant> clock, CancellationToken cancellationToken)
    {
        var pass = new Pass(clock, cancellationToken);
        owner ??= await TakeBackAsync(clock(), cancellationToken).ConfigureAwait(false);
        await HandOverAsync(pass, OthersAtOnce, await claims.ClaimAsync(owner, new ClaimWish(Batch) { Occasion = occasion }, Lease, pass.Now, cancellationToken).ConfigureAwait(false)).ConfigureAwait(false);
        return pass.TriedSlots;
    }

    private bool MayTry(string name, Instant now) => Pulse(name).MayTry(now);

    private int Most(string name) => Pulse(name).IsProven ? Batch : 1;

    private ChannelPulse Pulse(string name) => pulses.GetOrAdd(name, key => new ChannelPulse(key));

    /// <summary>A way of one grower only has no others behind it: its letter's own pause is enough.</summary>
    private ChannelPulse? PulseOf(SealedLetter letter) => LetterSlot.IsOwn(letter.Slot.Channel, out _) ? null : Pulse(letter.Slot.Channel);

    private async Task<string> TakeBackAsync(Instant now, CancellationToken cancellationToken)
    {
        string name = await worker.NameAsync(cancellationToken).ConfigureAwait(false);
        foreach (LetterSlot slot in await claims.TakeBackAsync(name, now, cancellationToken).ConfigureAwait(false))
        {
            Log.LetterInDoubt(logger, slot.Grower, slot.Date, slot.Channel);
        }

        return name;
    }

    private async Task GiveUpUselessAsync(Pass pass)
    {
        IReadOnlyList<LedgerEntry> given;
        do
        {
            given = await claims.GiveUpUselessAsync(pass.Now, GiveUpAtOnce, pass.CancellationToken).ConfigureAwait(false);
            foreach (LedgerEntry entry in given)
            {
                pass.GaveUp(entry);
                Log.LetterGivenUp(logger, entry.Letter.Slot.Grower, entry.Letter.Slot.Date, entry.Letter.Slot.Channel, entry.LastDetail);
            }
        }
        while (given.Count == GiveUpAtOnce);
    }

    private async Task LaneAsync(Pass pass, int atOnce, Func<Instant, ClaimWish?> wish)
    {
        while (!pass.CancellationToken.IsCancellationRequested && wish(pass.Now) is { } next)
        {
            IReadOnlyList<ClaimedLetter> held = await claims.ClaimAsync(owner!, next, Lease, pass.Now, pass.CancellationToken).ConfigureAwait(false);
            if (held.Count == 0)
            {
                return;
            }

            await HandOverAsync(pass, atOnce, held).ConfigureAwait(false);
        }
    }

    private async Task HandOverAsync(Pass pass, int atOnce, IReadOnlyList<ClaimedLetter> held)
    {
        var untouched = new ConcurrentDictionary<ClaimedLetter, byte>(held.Select(claim => KeyValuePair.Create(claim, (byte)0)));
        try
        {
            // A channel that has not shown that it works is tried with one letter before the others follow.
            ClaimedLetter[] first = [.. held.Where(claim => PulseOf(claim.Entry.Letter) is { IsProven: false }).DistinctBy(claim => claim.Entry.Letter.Slot.Channel)];
            await EachAsync(pass, atOnce, first, untouched).ConfigureAwait(false);
            await EachAsync(pass, atOnce, held.Except(first), untouched).ConfigureAwait(false);
        }
        finally
        {
            if (!untouched.IsEmpty)
            {
                await claims.LetGoAsync([.. untouched.Keys], CancellationToken.None).ConfigureAwait(false);
            }
        }
    }

    private Task EachAsync(Pass pass, int atOnce, IEnumerable<ClaimedLetter> held, ConcurrentDictionary<ClaimedLetter, byte> untouched) => Parallel.ForEachAsync(
        held,
        new ParallelOptions { MaxDegreeOfParallelism = atOnce, CancellationToken = pass.CancellationToken },
        async (claim, token) =>
        {
            if (PulseOf(claim.Entry.Letter)?.MayTry(pass.Now) ?? true)
            {
                await HandOverAsync(pass, claim, untouched, token).ConfigureAwait(false);
            }
        });

    private async Task HandOverAsync(Pass pass, ClaimedLetter claim, ConcurrentDictionary<ClaimedLetter, byte> untouched, CancellationToken cancellationToken)
    {
        // A store that stood still for longer than a lease may hand out a letter that is on the line here.
        if (!onTheLine.TryAdd(claim.Entry.Letter.Slot, 0))
        {
            return;
        }

        try
        {
            bool mine = await claims.StartAsync(claim, Lease, cancellationToken).ConfigureAwait(false);
            untouched.TryRemove(claim, out _);
            if (mine)
            {
                await HandOverAsync(pass, claim, cancellationToken).ConfigureAwait(false);
            }
        }
        finally
        {
            onTheLine.TryRemove(claim.Entry.Letter.Slot, out _);
        }
    }

    private async Task HandOverAsync(Pass pass, ClaimedLetter claim, CancellationToken cancellationToken)
    {
        DeliveryResult result = await DeliverAsync(claim, cancellationToken).ConfigureAwait(false);
        Instant at = pass.Now;
        int tries = claim.Entry.Tries + 1;
        Instant? next = result.Outcome is DeliveryOutcome.Accepted or DeliveryOutcome.GiveUp ? null : RetryPolicy.NextTryAt(claim.Entry.Letter, tries, result, at);
        PulseOf(claim.Entry.Letter)?.Note(result, at);

        // The server has answered: what it said is recorded even while the program is being stopped.
        await NoteAsync(new Outcome(claim, result, at, next)).ConfigureAwait(false);
        pass.Tried(claim.Entry, result);
        LetterSlot slot = claim.Entry.Letter.Slot;
        if (result.Outcome == DeliveryOutcome.Accepted)
        {
            Log.LetterAccepted(logger, slot.Grower, slot.Date, slot.Channel, tries);
        }
        else
        {
            Log.LetterNotTaken(logger, slot.Grower, slot.Date, slot.Channel, tries, result.Outcome, result.Reason, result.Detail);
        }
    }

    private async Task<DeliveryResult> DeliverAsync(ClaimedLetter claim, CancellationToken cancellationToken)
    {
        using var ended = new CancellationTokenSource();
        Task renewing = RenewAsync(claim, ended.Token);
        try
        {
            return await channel.DeliverAsync(claim.Entry.Letter, cancellationToken).ConfigureAwait(false);
        }
        catch (Exception fault)
        {
            // A channel never throws; should one do, no other letter suffers and nobody can say whether this one left.
            Log.ChannelThrew(logger, fault, claim.Entry.Letter.Slot.Channel);
            return new DeliveryResult(DeliveryOutcome.Unknown, DeliveryReason.Connection, fault.Message);
        }
        finally
        {
            await ended.CancelAsync().ConfigureAwait(false);
            await renewing.ConfigureAwait(false);
        }
    }

    // A server may take minutes to answer the final dot; as long as this program waits for it, nobody else may have the letter.
    private async Task RenewAsync(ClaimedLetter claim, CancellationToken ended)
    {
        bool isTold = false;
        while (!ended.IsCancellationRequested)
        {
            try
            {
                await Task.Delay(Renewal, time, ended).ConfigureAwait(false);

                await claims.StartAsync(claim, Lease, ended).ConfigureAwait(false);

                // A server that was started anew has forgotten who is there; a lease that ran out meanwhile is left to a holder who is.
                await claims.ShowPresenceAsync(claim.Owner, ended).ConfigureAwait(false);
            }
            catch (OperationCanceledException) when (ended.IsCancellationRequested)
            {
                // The letter has been answered.
            }
            catch (Exception fault)
            {
                if (!isTold)
                {
                    Log.LeaseNotRenewed(logger, fault, claim.Entry.Letter.Slot.Grower);
                    isTold = true;
                }
            }
        }
    }

    // A receipt that cannot be noted now, on a full disk or a lost database, is noted at the next pass; until then its lease keeps the letter from others.
    private async Task NoteAsync(Outcome outcome)
    {
        try
        {
            await claims.FinishAsync(outcome.Claim, outcome.Result, outcome.At, outcome.NextTryAt, CancellationToken.None).ConfigureAwait(false);
        }
        catch (Exception fault)
        {
            Log.ReceiptNotKept(logger, fault, outcome.Claim.Entry.Letter.Slot.Grower, outcome.Claim.Entry.Letter.Slot.Date);
            unnoted.Enqueue(outcome);
        }
    }

    private async Task NoteAgainAsync()
    {
        for (int left = unnoted.Count; left > 0 && unnoted.TryDequeue(out Outcome? outcome); left--)
        {
            await NoteAsync(outcome).ConfigureAwait(false);
        }
    }

    private sealed record Outcome(ClaimedLetter Claim, DeliveryResult Result, Instant At, Instant? NextTryAt);

    private sealed class Pass(Func<Instant> clock, CancellationToken cancellationToken)
    {
        private readonly Lock gate = new();
        private readonly List<LedgerEntry> givenUp = [];
        private readonly List<LetterSlot> tried = [];
        private int accepted;

        public CancellationToken CancellationToken => cancellationToken;

        public Instant Now => clock();

        public IReadOnlyCollection<LetterSlot> TriedSlots
        {
            get
            {
                lock (gate)
                {
                    return [.. tried];
                }
            }
        }

        public void GaveUp(LedgerEntry entry)
        {
            lock (gate)
            {
                givenUp.Add(entry);
            }
        }

        public void Tried(LedgerEntry before, DeliveryResult result)
        {
            lock (gate)
            {
                tried.Add(before.Letter.Slot);
                accepted += result.Outcome == DeliveryOutcome.Accepted ? 1 : 0;
                if (result.Outcome == DeliveryOutcome.GiveUp)
                {
                    givenUp.Add(before with { State = LetterState.GivenUp, Tries = before.Tries + 1, LastDetail = result.Detail });
                }
            }
        }

        public DeliveryTally Tally(IReadOnlyList<WaitingOnChannel> waiting, IReadOnlyList<ChannelTrouble> troubles)
        {
            lock (gate)
            {
                return new DeliveryTally(accepted, waiting.Sum(channel => channel.Letters), givenUp.Count) { Lost = givenUp, WaitingOn = waiting, Troubles = troubles };
            }
        }
    }
}

/// <summary>What one pass over the waiting letters did.</summary>
/// <param name="Accepted">Letters a server took.</param>
/// <param name="Waiting">Letters that wait for another try.</param>
/// <param name="GivenUp">Letters given up.</param>
public sealed record DeliveryTally(int Accepted = 0, int Waiting = 0, int GivenUp = 0)
{
    /// <summary>The letters given up.</summary>
    public IReadOnlyList<LedgerEntry> Lost { get; init; } = [];

    /// <summary>What waits, by channel.</summary>
    public IReadOnlyList<WaitingOnChannel> WaitingOn { get; init; } = [];

    /// <summary>Channels that cannot be used at present.</summary>
    public IReadOnlyList<ChannelTrouble> Troubles { get; init; } = [];
}
