using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Tests.Fakes;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Time.Testing;
using NodaTime;

namespace GraftWatch.Rounds.Tests.Pipeline;

public sealed class DeliveryRunTests
{
    private static readonly Instant Morning = Some.At("2026-05-14T03:30:00Z");
    private static readonly DeliveryResult Refused = new(DeliveryOutcome.TryLater, DeliveryReason.Connection, "connection refused");
    private readonly FakeLedger ledger = new();
    private readonly FakeChannel channel = new();
    private readonly Grower grower = Some.Grower();
    private readonly FakeTimeProvider time = new();
    private readonly DeliveryRun run;

    public DeliveryRunTests() => run = Run("here/1");

    [Fact]
    public async Task A_letter_that_was_taken_is_not_tried_again()
    {
        LetterSlot slot = await SealAsync();
        Same(new DeliveryTally(Accepted: 1), await PassAsync(Morning));
        Same(new DeliveryTally(), await PassAsync(Morning + Duration.FromMinutes(1)));
        Assert.Equal(LetterState.Accepted, ledger[slot].State);
        Assert.Single(channel.Tried);
    }

    [Fact]
    public async Task Further_tries_hand_over_the_same_bytes()
    {
        await SealAsync();
        channel.Answer = _ => new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "451 later");
        Same(new DeliveryTally(Waiting: 1), await PassAsync(Morning));
        await PassAsync(Morning + Duration.FromSeconds(10));
        Assert.Single(channel.Tried);
        await PassAsync(Morning + Duration.FromSeconds(36));
        Assert.Equal(2, channel.Tried.Count);
        Assert.True(channel.Tried[0].Bytes.Span.SequenceEqual(channel.Tried[1].Bytes.Span));
        Assert.Equal(channel.Tried[0].MessageId, channel.Tried[1].MessageId);
    }

    [Fact]
    public async Task A_letter_that_is_asked_for_is_handed_over_alone_and_once()
    {
        LetterSlot asked = await SealAsync();
        await SealManyAsync(3);
        Assert.Equal([asked], await run.HandOverAsync(asked, () => Morning, default));
        Assert.Empty(await run.HandOverAsync(asked, () => Morning, default));
        Assert.Equal(asked, Assert.Single(channel.Tried).Slot);
        Assert.Equal(LetterState.Accepted, ledger[asked].State);
    }

    [Fact]
    public async Task A_letter_that_is_asked_for_is_left_to_the_run_that_has_it_on_its_line()
    {
        LetterSlot slot = await SealAsync();
        var answered = new TaskCompletionSource();
        channel.Wait = _ => answered.Task;
        Task<DeliveryTally> pass = PassAsync(Morning);
        Assert.Empty(await Run("here/2").HandOverAsync(slot, () => Morning, default));
        answered.SetResult();
        Same(new DeliveryTally(Accepted: 1), await pass);
        Assert.Single(channel.Tried);
    }

    [Fact]
    public async Task A_letter_on_the_line_stays_ours_though_the_store_is_away_for_one_renewal()
    {
        await SealAsync();
        var answered = new TaskCompletionSource();
        channel.Wait = _ => answered.Task;
        int starts = 0;
        ledger.BeforeStart = () =>
        {
            // The first notes the start; the first renewal finds the store away.
            if (Interlocked.Increment(ref starts) == 2)
            {
                throw new IOException("the server is being started anew");
            }
        };
        Task<DeliveryTally> pass = PassAsync(Morning);
        for (int step = 0; Volatile.Read(ref starts) < 4; step++)
        {
            Assert.True(step < 20_000 && !pass.IsCompleted, "nobody renews the lease any more");
            time.Advance(TimeSpan.FromSeconds(8));
            await Task.Delay(1, TestContext.Current.CancellationToken);
        }

        answered.SetResult();
        Same(new DeliveryTally(Accepted: 1), await pass);
        Assert.True(ledger.Presences >= 1);
    }

    [Fact]
    public async Task While_the_server_is_down_one_letter_is_tried_and_the_others_keep_their_tries()
    {
        await SealManyAsync(50);
        channel.Answer = _ => Refused;
        for (int minute = 0; minute < 180; minute++)
        {
            DeliveryTally tally = await PassAsync(Morning + Duration.FromMinutes(minute));
            Assert.Equal(50, tally.Waiting);
            Assert.Equal(("mail", DeliveryReason.Connection), (Assert.Single(tally.Troubles).Channel, tally.Troubles[0].Reason));
        }

        Assert.InRange(channel.Tried.Count, 6, 12);
        Assert.Equal(0, ledger.Held);
        channel.Answer = _ => DeliveryResult.Accepted("250");
        Same(new DeliveryTally(Accepted: 50), await PassAsync(Morning + Duration.FromMinutes(225)));
    }

    [Fact]
    public async Task A_server_that_goes_down_in_the_middle_costs_only_the_letters_on_the_line()
    {
        await SealManyAsync(100);
        int taken = 0;
        channel.Answer = _ => Interlocked.Increment(ref taken) <= 40 ? DeliveryResult.Accepted("250") : Refused;
        DeliveryTally tally = await PassAsync(Morning);
        Assert.Equal((40, 60), (tally.Accepted, tally.Waiting));
        Assert.InRange(channel.Tried.Count, 41, 48);
        Assert.Equal(0, ledger.Held);
        Assert.Equal(1, Assert.Single(tally.Troubles).Failures);
    }

    [Fact]
    public async Task Letters_go_side_by_side_within_a_bound()
    {
        await SealManyAsync(200);
        channel.Wait = token => Task.Delay(2, token);
        Same(new DeliveryTally(Accepted: 200), await PassAsync(Morning));
        Assert.InRange(channel.MostAtOnce, 2, 8);
        Assert.Equal(200, channel.Tried.Select(letter => letter.MessageId).Distinct().Count());
    }

    [Fact]
    public async Task A_letter_for_a_refused_address_does_not_hold_up_the_others()
    {
        await SealManyAsync(2);
        channel.Answer = letter => letter.Slot.Grower == "Grower 1"
            ? new DeliveryResult(DeliveryOutcome.GiveUp, DeliveryReason.BadRecipient, "550 no such user")
            : DeliveryResult.Accepted("250");
        DeliveryTally tally = await PassAsync(Morning);
        Same(new DeliveryTally(Accepted: 1, GivenUp: 1), tally);
        Assert.Equal(("Grower 1", "550 no such user"), (Assert.Single(tally.Lost).Letter.Slot.Grower, tally.Lost[0].LastDetail));
        Assert.Empty(tally.Troubles);
    }

    [Fact]
    public async Task A_letter_that_has_lost_its_use_is_given_up_with_the_reason()
    {
        Instant end = Some.At("2026-05-14T14:00:00Z");
        LetterSlot slot = await SealAsync(usefulUntil: end);
        channel.Answer = _ => new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.Connection, "no route to host");
        await PassAsync(Morning);
        Same(new DeliveryTally(GivenUp: 1), await PassAsync(end));
        Assert.Equal(LetterState.GivenUp, ledger[slot].State);
        Assert.Contains("no route to host", ledger[slot].LastDetail, StringComparison.Ordinal);
        Assert.Single(channel.Tried);
    }

    [Fact]
    public async Task What_the_server_asks_to_wait_is_waited_and_the_others_of_its_channel_wait_too()
    {
        await SealAsync("phone", "Ann");
        channel.Answer = _ => new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "429 Too Many Requests") { RetryAfter = Duration.FromMinutes(25) };
        await PassAsync(Morning);
        await SealAsync("phone", "Bo");
        channel.Answer = _ => DeliveryResult.Accepted("200");
        Same(new DeliveryTally(Waiting: 2), await PassAsync(Morning + Duration.FromMinutes(24)));
        Same(new DeliveryTally(Accepted: 2), await PassAsync(Morning + Duration.FromMinutes(25)));
    }

    [Fact]
    public async Task A_dead_channel_does_not_touch_the_others()
    {
        await SealAsync("mail");
        await SealAsync("broker", "Bo");
        await SealAsync("phone", "Cy");
        await SealAsync(LetterSlot.Own("hook"), "Dee");
        channel.Answer = letter => letter.Slot.Channel is "broker" or "mail" ? Refused : DeliveryResult.Accepted("200");
        DeliveryTally tally = await PassAsync(Morning);
        Same(new DeliveryTally(Accepted: 2, Waiting: 2), tally);
        Assert.Equal(["broker", "mail"], tally.Troubles.Select(trouble => trouble.Channel));
        Assert.Equal(["broker", "mail"], tally.WaitingOn.Select(waiting => waiting.Channel).Order());
    }

    [Fact]
    public async Task One_growers_own_dead_address_holds_up_nobody_of_the_same_name()
    {
        await SealAsync(LetterSlot.Own("hook"), "Ann");
        await SealAsync(LetterSlot.Own("hook"), "Bo");
        channel.Answer = letter => letter.Slot.Grower == "Ann" ? Refused : DeliveryResult.Accepted("200");
        DeliveryTally tally = await PassAsync(Morning);
        Same(new DeliveryTally(Accepted: 1, Waiting: 1), tally);
        Assert.Empty(tally.Troubles);
    }

    [Fact]
    public async Task After_a_doubt_a_letter_rests_a_quarter_of_an_hour_and_an_urgent_note_does_not()
    {
        LetterSlot letter = await SealAsync();
        await SealAsync(grower: "Bo", kind: LetterKind.Urgent);
        channel.Answer = _ => new DeliveryResult(DeliveryOutcome.Unknown, DeliveryReason.ServerBusy, "the line broke after the final dot");
        await PassAsync(Morning);
        channel.Answer = _ => DeliveryResult.Accepted("250");
        Same(new DeliveryTally(Accepted: 1, Waiting: 1), await PassAsync(Morning + Duration.FromMinutes(14)));
        Assert.Equal(LetterState.Waiting, ledger[letter].State);
        Same(new DeliveryTally(Accepted: 1), await PassAsync(Morning + Duration.FromMinutes(15)));
    }

    [Fact]
    public async Task Two_runs_side_by_side_never_hand_over_the_same_letter()
    {
        await SealManyAsync(300);
        DeliveryRun other = Run("there/1");
        DeliveryTally[] tallies = await Task.WhenAll(
            Task.Run(() => run.RunAsync(() => Morning, TestContext.Current.CancellationToken)),
            Task.Run(() => other.RunAsync(() => Morning, TestContext.Current.CancellationToken)));
        Assert.Equal(300, tallies.Sum(tally => tally.Accepted));
        Assert.Equal(300, channel.Tried.Select(letter => letter.MessageId).Distinct().Count());
        Assert.Equal(300, channel.Tried.Count);
    }

    [Fact]
    public async Task A_stop_in_the_middle_notes_what_was_on_the_line_and_lets_the_rest_go()
    {
        await SealManyAsync(100);
        using var stop = new CancellationTokenSource();
        int taken = 0;
        channel.Answer = _ =>
        {
            if (Interlocked.Increment(ref taken) == 30)
            {
                stop.Cancel();
            }

            return DeliveryResult.Accepted("250");
        };
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => run.RunAsync(() => Morning, stop.Token));
        Assert.Equal(0, ledger.Held);
        Assert.Equal(channel.Tried.Count, ledger.Entries.Count(entry => entry.State == LetterState.Accepted));
        Assert.All(ledger.Entries.Where(entry => entry.State == LetterState.Waiting), entry => Assert.Equal(0, entry.Tries));
    }

    [Fact]
    public async Task A_worker_that_starts_again_takes_its_letters_back()
    {
        LetterSlot slot = await SealAsync();
        ClaimedLetter lost = Assert.Single(await ((ILetterClaims)ledger).ClaimAsync("here/1", 9, Duration.FromMinutes(1), Morning, default));
        await ledger.StartAsync(lost, Duration.FromMinutes(1), default);
        Same(new DeliveryTally(Waiting: 1), await Run("there/1").RunAsync(() => Morning, default));
        Same(new DeliveryTally(Accepted: 1), await PassAsync(Morning));
        Assert.Equal(LetterState.Accepted, ledger[slot].State);
    }

    [Fact]
    public async Task A_channel_that_throws_costs_one_try_of_one_letter()
    {
        await SealManyAsync(3);
        channel.Answer = letter => letter.Slot.Grower == "Grower 2" ? throw new InvalidOperationException("a fault of ours") : DeliveryResult.Accepted("250");
        Same(new DeliveryTally(Accepted: 2, Waiting: 1), await PassAsync(Morning + Duration.FromMinutes(1), 3));
        Assert.Contains("a fault of ours", ledger.Entries.Single(entry => entry.State == LetterState.Waiting).LastDetail, StringComparison.Ordinal);
    }

    private static void Same(DeliveryTally expected, DeliveryTally tally) =>
        Assert.Equal((expected.Accepted, expected.Waiting, expected.GivenUp), (tally.Accepted, tally.Waiting, tally.GivenUp));

    private DeliveryRun Run(string worker) => new(ledger, ledger, channel, new FakeWorker(worker), time, NullLogger<DeliveryRun>.Instance);

    private async Task SealManyAsync(int letters)
    {
        for (int number = 1; number <= letters; number++)
        {
            await SealAsync(grower: "Grower " + number);
        }
    }

    private async Task<LetterSlot> SealAsync(string by = LetterSlot.Mail, string? grower = null, Instant? usefulUntil = null, LetterKind kind = LetterKind.Morning)
    {
        SealedLetter letter = Some.Letter(this.grower with { Name = grower ?? this.grower.Name }, Some.Date("2026-05-14"), Morning);
        letter = letter with { Slot = letter.Slot with { Channel = by, Kind = kind }, MessageId = $"{by}.{letter.Slot.Grower}@nursery.example", UsefulUntil = usefulUntil };
        Assert.True(await ledger.SealAsync(letter, default));
        return letter.Slot;
    }

    private Task<DeliveryTally> PassAsync(Instant now) => run.RunAsync(() => now, default);

    // A channel that threw has to be proven again, so the letters behind it go at its next pause.
    private async Task<DeliveryTally> PassAsync(Instant from, int passes)
    {
        var sum = new DeliveryTally();
        for (int pass = 0; pass < passes; pass++)
        {
            DeliveryTally one = await PassAsync(from + Duration.FromMinutes(pass));
            sum = new DeliveryTally(sum.Accepted + one.Accepted, one.Waiting, sum.GivenUp + one.GivenUp);
        }

        return sum;
    }
}
