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

    private Task<IReadOnlyList<ClaimedLetter>> ClaimAsync(string owner) => Store.Claims.ClaimAsync(owner, 1000, Lease, Sample.Morning, Stop);

    private async Task SealAsync(int letters)
    {
        await Task.WhenAll(Enumerable.Range(0, letters).Select(i => Store.Ledger.SealAsync(Sample.Letter(Sample.Slot($"G{i:000}"), sealedAt: Sample.Morning + Duration.FromSeconds(i)), Stop)));
    }
}
