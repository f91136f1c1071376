using System.Collections.Concurrent;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class ClaimsContract : StoreContract
{
    private static readonly Duration Lease = Duration.FromMinutes(5);
    private static readonly DeliveryResult Busy = new(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "451 later");

    [Fact]
    public async Task A_claimed_letter_is_nobody_elses()
    {
        await SealAsync(1);
        ClaimedLetter mine = Assert.Single(await ClaimAsync("east"));
        Assert.Empty(await ClaimAsync("west"));
        Assert.Empty(await ClaimAsync("east"));
        Assert.True(await Store.Claims.StartAsync(mine, Lease, Stop));
        Assert.True(await Store.Claims.FinishAsync(mine, DeliveryResult.Accepted("250"), Sample.Morning, null, Stop));
        Assert.Empty(await ClaimAsync("west"));
        Assert.Equal(LetterState.Accepted, (await Store.Ledger.FindAsync(mine.Entry.Letter.Slot, Stop))!.State);
    }

    [Fact]
    public async Task Urgent_notes_are_claimed_first_then_the_oldest()
    {
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot("A"), sealedAt: Sample.Morning + Duration.FromMinutes(2)), Stop);
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot("B"), sealedAt: Sample.Morning), Stop);
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot("C", kind: LetterKind.Urgent), sealedAt: Sample.Morning + Duration.FromMinutes(9)), Stop);
        Assert.Equal(["C", "B"], (await Store.Claims.ClaimAsync("east", 2, Lease, Sample.Morning, Stop)).Select(claim => claim.Entry.Letter.Slot.Grower));
        Assert.Equal(["A"], (await ClaimAsync("east")).Select(claim => claim.Entry.Letter.Slot.Grower));
    }

    [Fact]
    public async Task A_letter_to_be_tried_later_is_left_until_then()
    {
        await SealAsync(1);
        Instant later = Sample.Morning + Duration.FromMinutes(10);
        ClaimedLetter claim = Assert.Single(await ClaimAsync("east"));
        Assert.True(await Store.Claims.FinishAsync(claim, Busy, Sample.Morning, later, Stop));
        Assert.Empty(await Store.Claims.ClaimAsync("east", 9, Lease, later - Duration.FromTicks(1), Stop));
        ClaimedLetter again = Assert.Single(await Store.Claims.ClaimAsync("west", 9, Lease, later, Stop));
        Assert.Equal((1, "451 later", claim.Epoch + 1), (again.Entry.Tries, again.Entry.LastDetail, again.Epoch));
    }

    [Fact]
    public async Task A_letter_that_is_asked_for_is_claimed_alone_and_before_its_next_try_but_not_out_of_other_hands()
    {
        await SealAsync(3);
        LetterSlot asked = Sample.Slot("G001");
        ClaimedLetter claim = Assert.Single(await AskAsync("east"));
        Assert.Equal(asked, claim.Entry.Letter.Slot);
        Assert.Empty(await AskAsync("west"));

        Assert.True(await Store.Claims.FinishAsync(claim, Busy, Sample.Morning, Sample.Morning + Duration.FromHours(1), Stop));
        Assert.Equal(["G000", "G002"], (await ClaimAsync("west")).Select(one => one.Entry.Letter.Slot.Grower));
        ClaimedLetter again = Assert.Single(await AskAsync("west"));
        Assert.True(await Store.Claims.FinishAsync(again, DeliveryResult.Accepted("250"), Sample.Morning, null, Stop));
        Assert.Empty(await AskAsync("west"));

        Task<IReadOnlyList<ClaimedLetter>> AskAsync(string owner) => Store.Claims.ClaimAsync(owner, new ClaimWish(9) { Occasion = asked }, Lease, Sample.Morning, Stop);
    }

    [Fact]
    public async Task The_copies_of_a_letter_that_is_asked_for_are_claimed_on_every_channel()
    {
        LetterSlot slot = Sample.Slot("A");
        await Store.Said.SealAsync([Sample.Letter(slot), Sample.Letter(slot with { Channel = "phone" }) with { MessageId = "phone@letters.example" }], [], Stop);
        await Store.Ledger.SealAsync(Sample.Letter(slot with { Kind = LetterKind.Urgent }, 2), Stop);
        Assert.Equal(["mail", "phone"], (await ChannelsAsync(new ClaimWish(9) { Occasion = slot })).Order());
    }

    [Fact]
    public async Task A_clock_set_back_by_hours_does_not_hold_a_letter()
    {
        await SealAsync(1);
        ClaimedLetter claim = Assert.Single(await ClaimAsync("east"));
        Assert.True(await Store.Claims.FinishAsync(claim, Busy, Sample.Morning, Sample.Morning + Duration.FromMinutes(30), Stop));
        Assert.Empty(await Store.Claims.ClaimAsync("east", 9, Lease, Sample.Morning - Duration.FromMinutes(59), Stop));
        Assert.Single(await Store.Claims.ClaimAsync("east", 9, Lease, Sample.Morning - Duration.FromHours(2), Stop));
    }

    [Fact]
    public async Task A_holder_who_slept_past_the_lease_may_not_send_and_notes_nothing()
    {
        await SealAsync(1);
        ClaimedLetter slept = Assert.Single(await Store.Claims.ClaimAsync("east", 9, Duration.FromMilliseconds(20), Sample.Morning, Stop));
        await Task.Delay(40, Stop);
        ClaimedLetter taken = Assert.Single(await ClaimAsync("west"));

        Assert.False(await Store.Claims.StartAsync(slept, Lease, Stop));
        Assert.False(await Store.Claims.FinishAsync(slept, Busy, Sample.Morning, Sample.Morning + Duration.FromDays(1), Stop));
        Assert.Equal(0, (await Store.Ledger.FindAsync(taken.Entry.Letter.Slot, Stop))!.Tries);
        Assert.True(await Store.Claims.StartAsync(taken, Lease, Stop));
    }

    [Fact]
    public async Task A_lapsed_lease_may_not_start_even_when_nobody_else_took_the_letter()
    {
        await SealAsync(1);
        ClaimedLetter slept = Assert.Single(await Store.Claims.ClaimAsync("east", 9, Duration.FromMilliseconds(20), Sample.Morning, Stop));
        await Task.Delay(40, Stop);
        Assert.False(await Store.Claims.StartAsync(slept, Lease, Stop));
    }

    [Fact]
    public async Task An_acceptance_counts_even_when_the_claim_was_lost()
    {
        await SealAsync(1);
        ClaimedLetter slept = Assert.Single(await Store.Claims.ClaimAsync("east", 9, Duration.FromMilliseconds(20), Sample.Morning, Stop));
        await Task.Delay(40, Stop);
        ClaimedLetter taken = Assert.Single(await ClaimAsync("west"));
        Assert.True(await Store.Claims.FinishAsync(slept, DeliveryResult.Accepted("250 ok"), Sample.Morning, null, Stop));
        Assert.False(await Store.Claims.StartAsync(taken, Lease, Stop));
        Assert.Equal(LetterState.Accepted, (await Store.Ledger.FindAsync(slept.Entry.Letter.Slot, Stop))!.State);
    }

    [Fact]
    public async Task A_letter_that_was_being_handed_over_rests_longer_than_its_lease()
    {
        await SealAsync(1);
        ClaimedLetter claim = Assert.Single(await ClaimAsync("east"));
        Assert.True(await Store.Claims.StartAsync(claim, Duration.FromMilliseconds(20), Stop));
        await Task.Delay(40, Stop);
        Assert.Empty(await ClaimAsync("west"));
    }

    [Fact]
    public async Task A_worker_that_starts_again_takes_its_letters_back_and_hears_which_are_in_doubt()
    {
        await SealAsync(3);
        IReadOnlyList<ClaimedLetter> held = await ClaimAsync("east");
        Assert.True(await Store.Claims.StartAsync(held[1], Lease, Stop));
        await ReopenAsync();

        Assert.Equal([held[1].Entry.Letter.Slot], await Store.Claims.TakeBackAsync("east", Sample.Morning, Stop));
        IReadOnlyList<ClaimedLetter> again = await ClaimAsync("east");
        Assert.Equal(held.Select(one => one.Entry.Letter.MessageId), again.Select(one => one.Entry.Letter.MessageId));
        Assert.Equal([0, 1, 0], again.Select(one => one.Entry.Tries));
        Assert.Contains("may or may not have arrived", again[1].Entry.LastDetail, StringComparison.Ordinal);
        Assert.Empty(await Store.Claims.TakeBackAsync("west", Sample.Morning, Stop));
    }

    [Fact]
    public async Task Letters_are_claimed_by_channel()
    {
        await Store.Said.SealAsync(Sample.Copies("mail", "phone", "own:home"), [], Stop);
        Assert.Equal(["phone"], await ChannelsAsync(new ClaimWish(9) { Only = "phone" }));
        Assert.Equal(["own:home"], await ChannelsAsync(new ClaimWish(9) { Except = ["mail", "it's; --"] }));
        Assert.Equal(["mail"], await ChannelsAsync(new ClaimWish(9)));
    }

    [Fact]
    public async Task A_claim_that_is_let_go_can_be_claimed_at_once_and_has_no_try()
    {
        await SealAsync(2);
        IReadOnlyList<ClaimedLetter> held = await ClaimAsync("east");
        Assert.True(await Store.Claims.StartAsync(held[1], Lease, Stop));
        await Store.Claims.LetGoAsync(held, Stop);
        ClaimedLetter again = Assert.Single(await ClaimAsync("west"));
        Assert.Equal((held[0].Entry.Letter.MessageId, 0), (again.Entry.Letter.MessageId, again.Entry.Tries));
        Assert.False(await Store.Claims.StartAsync(held[0], Lease, Stop));
    }

    [Fact]
    public async Task What_has_lost_its_use_is_not_claimed_and_is_given_up_with_the_reason()
    {
        Instant end = Sample.Morning + Duration.FromHours(6);
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot("A")) with { UsefulUntil = end }, Stop);
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot("B")), Stop);
        ClaimedLetter tried = (await ClaimAsync("east"))[0];
        Assert.Equal("A", tried.Entry.Letter.Slot.Grower);
        await Store.Claims.FinishAsync(tried, Busy, Sample.Morning, end + Duration.FromDays(1), Stop);
        await Store.Claims.TakeBackAsync("east", Sample.Morning, Stop);

        Assert.Empty(await Store.Claims.GiveUpUselessAsync(end - Duration.FromTicks(1), 9, Stop));
        LedgerEntry given = Assert.Single(await Store.Claims.GiveUpUselessAsync(end, 9, Stop));
        Assert.Equal(("A", LetterState.GivenUp, "Too late after 1 tries; the last one said: 451 later"), (given.Letter.Slot.Grower, given.State, given.LastDetail));
        Instant usual = Sample.Morning + SealedLetter.UsualUse;
        Assert.Empty(await Store.Claims.ClaimAsync("east", 9, Lease, usual, Stop));
        Assert.Equal("It could not be handed over before it lost its use.", Assert.Single(await Store.Claims.GiveUpUselessAsync(usual, 9, Stop)).LastDetail);
        Assert.Empty(await Store.Claims.GiveUpUselessAsync(usual, 9, Stop));
    }

    [Fact]
    public async Task A_stop_gives_up_what_waits_at_once_and_nothing_goes_out_until_it_is_resumed()
    {
        await SealAsync(2);
        ClaimedLetter mine = (await ClaimAsync("east"))[0];
        string grower = mine.Entry.Letter.Slot.Grower;
        GrowerStop stop = await Store.Stops.StopAsync(grower, StoppedBy.Grower, Sample.Morning, Stop);
        Assert.Equal(new GrowerStop(grower, Sample.Morning, StoppedBy.Grower), stop);
        Assert.Equal(stop, await Store.Stops.StopAsync(grower, StoppedBy.Operator, Sample.Morning + Duration.FromDays(1), Stop));
        Assert.False(await Store.Claims.StartAsync(mine, Lease, Stop));
        LedgerEntry given = (await Store.Ledger.FindAsync(mine.Entry.Letter.Slot, Stop))!;
        Assert.Equal((LetterState.GivenUp, "not sent: the letters were stopped"), (given.State, given.LastDetail));

        // A run that had decided before the stop may still seal; what it sealed goes nowhere.
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(grower, kind: LetterKind.Urgent), 2), Stop);
        Assert.Empty(await ClaimAsync("west"));
        Assert.Equal("not sent: the letters were stopped", Assert.Single(await Store.Claims.GiveUpUselessAsync(Sample.Morning, 9, Stop)).LastDetail);

        await ReopenAsync();
        Assert.Equal([stop], await Store.Stops.LoadStopsAsync(Stop));
        Assert.Equal(stop, await Store.Stops.FindStopAsync(grower, Stop));
        Assert.True(await Store.Stops.ResumeAsync(grower, Stop));
        Assert.False(await Store.Stops.ResumeAsync(grower, Stop));
        Assert.Null(await Store.Stops.FindStopAsync(grower, Stop));
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(grower, Sample.Day.PlusDays(1)), 3), Stop);
        Assert.Equal(grower, Assert.Single(await ClaimAsync("west")).Entry.Letter.Slot.Grower);
    }

    [Fact]
    public async Task A_letter_on_the_line_when_its_grower_stops_keeps_its_receipt_and_is_not_tried_again_without_one()
    {
        await SealAsync(2);
        IReadOnlyList<ClaimedLetter> held = await ClaimAsync("east");
        foreach (ClaimedLetter claim in held)
        {
            await Store.Claims.StartAsync(claim, Lease, Stop);
            await Store.Stops.StopAsync(claim.Entry.Letter.Slot.Grower, StoppedBy.Grower, Sample.Morning, Stop);
        }

        Assert.True(await Store.Claims.FinishAsync(held[0], DeliveryResult.Accepted("250"), Sample.Morning, null, Stop));
        Assert.True(await Store.Claims.FinishAsync(held[1], Busy, Sample.Morning, null, Stop));
        Assert.Equal(LetterState.Accepted, (await Store.Ledger.FindAsync(held[0].Entry.Letter.Slot, Stop))!.State);
        Assert.Empty(await ClaimAsync("east"));
        Assert.Single(await Store.Claims.GiveUpUselessAsync(Sample.Morning, 9, Stop));
    }

    [Fact]
    public async Task Workers_on_several_machines_claim_every_letter_exactly_once()
    {
        const int Letters = 400;
        await SealAsync(Letters);
        RecordsStore second = await Rig.OpenAsync();
        await using (second)
        {
            var claimed = new ConcurrentBag<string>();
            await Task.WhenAll(Enumerable.Range(0, 6).Select(worker => Task.Run(async () =>
            {
                RecordsStore machine = worker % 2 == 0 ? Store : second;
                while (await machine.Claims.ClaimAsync($"worker {worker}", 17, Lease, Sample.Morning, Stop) is { Count: > 0 } batch)
                {
                    foreach (ClaimedLetter claim in batch)
                    {
                        claimed.Add(claim.Entry.Letter.MessageId);
                        Assert.True(await machine.Claims.FinishAsync(claim, DeliveryResult.Accepted("250"), Sample.Morning, null, Stop));
                    }
                }
            })));

            // A worker may find all free rows locked by its neighbours and end early; what is left must be claimable still.
            foreach (ClaimedLetter claim in await Store.Claims.ClaimAsync("last", Letters, Lease, Sample.Morning, Stop))
            {
                claimed.Add(claim.Entry.Letter.MessageId);
                await Store.Claims.FinishAsync(claim, DeliveryResult.Accepted("250"), Sample.Morning, null, Stop);
            }

            Assert.Equal(Letters, claimed.Count);
            Assert.Equal(Letters, claimed.Distinct().Count());
        }

        Assert.Empty(await Store.Ledger.LoadWaitingAsync(Stop));
    }

    private async Task<IEnumerable<string>> ChannelsAsync(ClaimWish wish) =>
        (await Store.Claims.ClaimAsync("east", wish, Lease, Sample.Morning, Stop)).Select(claim => claim.Entry.Letter.Slot.Channel);

    private Task<IReadOnlyList<ClaimedLetter>> ClaimAsync(string owner) => Store.Claims.ClaimAsync(owner, 1000, Lease, Sample.Morning, Stop);

    private async Task SealAsync(int letters)
    {
        await Task.WhenAll(Enumerable.Range(0, letters).Select(i => Store.Ledger.SealAsync(Sample.Letter(Sample.Slot($"G{i:000}"), sealedAt: Sample.Morning + Duration.FromSeconds(i)), Stop)));
    }
}
