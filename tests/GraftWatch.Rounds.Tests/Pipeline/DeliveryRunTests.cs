using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using GraftWatch.Rounds.Tests.Fakes;
using Microsoft.Extensions.Logging.Abstractions;
using NodaTime;

namespace GraftWatch.Rounds.Tests.Pipeline;

public sealed class DeliveryRunTests
{
    private static readonly Instant Morning = Some.At("2026-05-14T03:30:00Z");
    private readonly FakeLedger ledger = new();
    private readonly FakeChannel channel = new();
    private readonly Grower grower = Some.Grower();
    private readonly DeliveryRun run;

    public DeliveryRunTests() => run = new DeliveryRun(ledger, channel, NullLogger<DeliveryRun>.Instance);

    [Fact]
    public async Task A_letter_that_was_taken_is_not_tried_again()
    {
        LetterSlot slot = await SealAsync();
        Assert.Equal(new DeliveryTally(Accepted: 1), await PassAsync(Morning));
        Assert.Equal(new DeliveryTally(), await PassAsync(Morning + Duration.FromMinutes(1)));
        Assert.Equal(LetterState.Accepted, ledger[slot].State);
        Assert.Single(channel.Tried);
    }

    [Fact]
    public async Task Further_tries_hand_over_the_same_bytes()
    {
        await SealAsync();
        channel.Answer = _ => new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "451 later");
        await PassAsync(Morning);
        await PassAsync(Morning + Duration.FromSeconds(10));
        await PassAsync(Morning + Duration.FromSeconds(30));
        Assert.Equal(2, channel.Tried.Count);
        Assert.True(channel.Tried[0].Bytes.Span.SequenceEqual(channel.Tried[1].Bytes.Span));
        Assert.Equal(channel.Tried[0].MessageId, channel.Tried[1].MessageId);
    }

    [Fact]
    public async Task While_the_server_is_down_one_letter_is_tried_and_the_others_keep_their_tries()
    {
        for (int number = 1; number <= 50; number++)
        {
            await ledger.SealAsync(Some.Letter(grower with { Name = "Grower " + number }, Some.Date("2026-05-14"), Morning, number), default);
        }

        channel.Answer = _ => new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.Connection, "connection refused");
        for (int minute = 0; minute < 180; minute++)
        {
            await PassAsync(Morning + Duration.FromMinutes(minute));
        }

        Assert.InRange(channel.Tried.Count, 6, 12);
        channel.Answer = _ => DeliveryResult.Accepted("250");
        Assert.Equal(new DeliveryTally(Accepted: 50), await PassAsync(Morning + Duration.FromMinutes(215)));
    }

    [Fact]
    public async Task A_letter_for_a_refused_address_does_not_hold_up_the_others()
    {
        await ledger.SealAsync(Some.Letter(grower with { Name = "First" }, Some.Date("2026-05-14"), Morning), default);
        await ledger.SealAsync(Some.Letter(grower with { Name = "Second" }, Some.Date("2026-05-14"), Morning), default);
        channel.Answer = letter => letter.Slot.Grower == "First"
            ? new DeliveryResult(DeliveryOutcome.GiveUp, DeliveryReason.BadRecipient, "550 no such user")
            : DeliveryResult.Accepted("250");
        Assert.Equal(new DeliveryTally(Accepted: 1, GivenUp: 1), await PassAsync(Morning));
    }

    [Fact]
    public async Task A_letter_that_has_lost_its_use_is_given_up_with_the_reason()
    {
        LetterSlot slot = await SealAsync();
        channel.Answer = _ => new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.Connection, "no route to host");
        await PassAsync(Morning);
        await PassAsync(Some.At("2026-05-14T14:00:00Z"));
        Assert.Equal(LetterState.GivenUp, ledger[slot].State);
        Assert.Contains("no route to host", ledger[slot].LastDetail, StringComparison.Ordinal);
        Assert.Single(channel.Tried);
    }

    private async Task<LetterSlot> SealAsync()
    {
        SealedLetter letter = Some.Letter(grower, Some.Date("2026-05-14"), Morning);
        Assert.True(await ledger.SealAsync(letter, default));
        return letter.Slot;
    }

    private Task<DeliveryTally> PassAsync(Instant now) =>
        run.RunAsync(new MorningSettings(null!, new Dictionary<string, Aftercare.Grafts.Place>(), [grower], new MorningPolicy()), () => now, default);
}
