using GraftWatch.Records.Ledger;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class LedgerContract : StoreContract
{
    [Fact]
    public async Task A_sealed_letter_comes_back_byte_for_byte_after_reopening()
    {
        SealedLetter letter = Sample.Letter(sealedAt: Sample.Morning + Duration.FromTicks(1_234_567));
        Assert.True(await Store.Ledger.SealAsync(letter, Stop));
        await ReopenAsync();

        LedgerEntry entry = Assert.IsType<LedgerEntry>(await Store.Ledger.FindAsync(letter.Slot, Stop));

        Assert.Equal(letter.Bytes.ToArray(), entry.Letter.Bytes.ToArray());
        Assert.Equal(letter with { Bytes = default }, entry.Letter with { Bytes = default });
        Assert.Equal((LetterState.Waiting, 0, null, string.Empty), (entry.State, entry.Tries, entry.LastTryAt, entry.LastDetail));
    }

    [Fact]
    public async Task A_free_slot_has_no_letter_and_the_first_number_is_1()
    {
        Assert.Null(await Store.Ledger.FindAsync(Sample.Slot(), Stop));
        Assert.Equal(1, await Store.Ledger.NextNumberAsync(Sample.Grower, Stop));
        Assert.Empty(await Store.Ledger.LoadWaitingAsync(Stop));
    }

    [Fact]
    public async Task A_slot_is_taken_once_and_its_bytes_never_change()
    {
        SealedLetter first = Sample.Letter();
        Assert.True(await Store.Ledger.SealAsync(first, Stop));
        Assert.False(await Store.Ledger.SealAsync(Sample.Letter(number: 2, bodyBytes: 99), Stop));

        LedgerEntry? kept = await Store.Ledger.FindAsync(first.Slot, Stop);
        Assert.Equal(first.Bytes.ToArray(), kept!.Letter.Bytes.ToArray());
        Assert.Equal(2, await Store.Ledger.NextNumberAsync(Sample.Grower, Stop));
    }

    [Fact]
    public async Task Slots_differ_by_grower_date_kind_and_ordinal()
    {
        Assert.True(await Store.Ledger.SealAsync(Sample.Letter(), Stop));
        Assert.True(await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(kind: LetterKind.Urgent), 2), Stop));
        Assert.True(await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(date: Sample.Day.PlusDays(1)), 3), Stop));
        Assert.True(await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(kind: LetterKind.Urgent) with { Ordinal = 1 }, 4), Stop));
        Assert.True(await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot("Bo Reed")), Stop));

        Assert.Equal(5, (await Store.Ledger.LoadWaitingAsync(Stop)).Count);
        Assert.Equal(5, await Store.Ledger.NextNumberAsync(Sample.Grower, Stop));
        Assert.Equal(2, await Store.Ledger.NextNumberAsync("Bo Reed", Stop));
    }

    [Fact]
    public async Task Copies_of_one_letter_on_several_channels_share_a_number_and_keep_receipts_of_their_own()
    {
        SealedLetter[] copies = Sample.Copies("mail", "phone", "own:home");
        Assert.True(await Store.Said.SealAsync(copies, [], Stop));
        await Store.Ledger.RecordTryAsync(copies[1].Slot, DeliveryResult.Accepted("200 OK"), Sample.Morning, Stop);
        await ReopenAsync();

        IReadOnlyList<LedgerEntry> occasion = await Store.Ledger.LoadOccasionAsync(Sample.Slot(), Stop);
        Assert.Equal(["mail", "phone", "own:home"], occasion.Select(entry => entry.Letter.Slot.Channel));
        Assert.Equal([1, 1, 1], occasion.Select(entry => entry.Letter.Number));
        Assert.Equal([LetterState.Waiting, LetterState.Accepted, LetterState.Waiting], occasion.Select(entry => entry.State));
        Assert.Equal(copies.Select(copy => copy.Bytes.ToArray()), occasion.Select(entry => entry.Letter.Bytes.ToArray()));
        Assert.Equal(copies[2].UsefulUntil, occasion[2].Letter.UsefulUntil);
        Assert.Equal(2, await Store.Ledger.NextNumberAsync(Sample.Grower, Stop));
        Assert.Equal([("mail", 1), ("own:home", 1)], (await Store.Ledger.CountWaitingAsync(Stop)).Select(waiting => (waiting.Channel, waiting.Letters)));
    }

    [Fact]
    public async Task An_occasion_is_taken_on_all_channels_at_once()
    {
        Assert.True(await Store.Said.SealAsync(Sample.Copies("mail"), [], Stop));
        Assert.False(await Store.Said.SealAsync(Sample.Copies(2, "phone"), [], Stop));
        Assert.False(await Store.Said.SealAsync(Sample.Copies(2, "phone", "mail"), [], Stop));
        Assert.Single(await Store.Ledger.LoadOccasionAsync(Sample.Slot(), Stop));
    }

    [Fact]
    public async Task Copies_are_kept_all_or_none()
    {
        SealedLetter[] copies = Sample.Copies("mail", "phone");
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot("Bo Reed")) with { MessageId = copies[1].MessageId }, Stop);
        await Assert.ThrowsAnyAsync<System.Data.Common.DbException>(() => Store.Said.SealAsync(copies, [], Stop));
        Assert.Empty(await Store.Ledger.LoadOccasionAsync(Sample.Slot(), Stop));
        Assert.Equal(1, await Store.Ledger.NextNumberAsync(Sample.Grower, Stop));
    }

    [Fact]
    public async Task Only_copies_of_one_letter_are_sealed_together()
    {
        SealedLetter letter = Sample.Letter();
        await Assert.ThrowsAsync<ArgumentException>(() => Store.Said.SealAsync([], [], Stop));
        await Assert.ThrowsAsync<ArgumentException>(() => Store.Said.SealAsync([letter, letter], [], Stop));
        await Assert.ThrowsAsync<ArgumentException>(() => Store.Said.SealAsync([letter, Sample.Letter(Sample.Slot("Bo Reed") with { Channel = "phone" })], [], Stop));
    }

    [Fact]
    public async Task Of_runs_with_different_channels_that_seal_one_occasion_at_once_exactly_one_wins()
    {
        RecordsStore second = await Rig.OpenAsync();
        await using (second)
        {
            RecordsStore[] programs = [Store, second];
            bool[] won = await Task.WhenAll(Enumerable.Range(0, 20).Select(i => Task.Run(() => programs[i % 2].Said.SealAsync(Sample.Copies("c" + i), [], Stop))));
            Assert.Single(won, true);
        }

        Assert.Single(await Store.Ledger.LoadOccasionAsync(Sample.Slot(), Stop));
    }

    [Fact]
    public async Task A_day_of_letters_is_told_without_reading_them()
    {
        Assert.Equal(new DayOfLetters(0, null, false), await Store.Ledger.LookAsync(Sample.Grower, Sample.Day, LetterKind.Urgent, Stop));
        await Store.Said.SealAsync(Sample.Copies("mail", "phone"), [], Stop);
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(kind: LetterKind.Urgent), 2), Stop);
        Instant later = Sample.Morning + Duration.FromHours(2);
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(kind: LetterKind.Urgent) with { Ordinal = 1 }, 3, later), Stop);
        Assert.Equal(new DayOfLetters(2, later, false), await Store.Ledger.LookAsync(Sample.Grower, Sample.Day, LetterKind.Urgent, Stop));
        Assert.Equal(new DayOfLetters(1, Sample.Morning, false), await Store.Ledger.LookAsync(Sample.Grower, Sample.Day, LetterKind.Morning, Stop));
    }

    [Fact]
    public async Task The_last_letter_before_a_day_is_found_however_long_ago_it_was()
    {
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(date: Sample.Day.PlusDays(-9))), Stop);
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(date: Sample.Day.PlusDays(-5)) with { Channel = "phone" }, 2), Stop);
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(date: Sample.Day.PlusDays(-4), kind: LetterKind.Urgent), 3), Stop);
        await Store.Ledger.SealAsync(Sample.Letter(number: 4), Stop);
        Assert.Equal(1, (await Store.Ledger.FindLastAsync(Sample.Grower, LetterKind.Morning, LetterSlot.Mail, Sample.Day, Stop))!.Letter.Number);
        Assert.Null(await Store.Ledger.FindLastAsync(Sample.Grower, LetterKind.Morning, LetterSlot.Mail, Sample.Day.PlusDays(-9), Stop));
    }

    [Fact]
    public async Task A_number_used_by_another_letter_is_refused_with_a_sentence()
    {
        await Store.Ledger.SealAsync(Sample.Letter(), Stop);
        var failure = await Assert.ThrowsAsync<LetterNumberTakenException>(() => Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(kind: LetterKind.Urgent), 1), Stop));
        Assert.Contains("compose again", failure.Message, StringComparison.Ordinal);
        Assert.Null(await Store.Ledger.FindAsync(Sample.Slot(kind: LetterKind.Urgent), Stop));
    }

    [Fact]
    public async Task Of_many_runs_that_seal_the_same_slot_at_once_exactly_one_wins()
    {
        RecordsStore second = await Rig.OpenAsync();
        await using (second)
        {
            RecordsStore[] programs = [Store, second];
            bool[] won = await Task.WhenAll(Enumerable.Range(0, 40).Select(i => Task.Run(() => programs[i % 2].Ledger.SealAsync(Sample.Letter(bodyBytes: i), Stop))));
            Assert.Single(won, true);
        }

        LedgerEntry only = Assert.Single(await Store.Ledger.LoadWaitingAsync(Stop));
        Assert.Equal(1, only.Letter.Number);
    }

    [Fact]
    public async Task Writers_of_two_programs_do_not_lose_each_others_letters()
    {
        const int Each = 100;
        RecordsStore second = await Rig.OpenAsync();
        await using (second)
        {
            RecordsStore[] programs = [Store, second];
            await Task.WhenAll(Enumerable.Range(0, 2 * Each).Select(i => Task.Run(async () =>
            {
                LetterSlot slot = Sample.Slot($"Grower {i}");
                Assert.True(await programs[i % 2].Ledger.SealAsync(Sample.Letter(slot), Stop));
                await programs[i % 2].Ledger.RecordTryAsync(slot, DeliveryResult.Accepted("250 2.0.0 queued"), Sample.Morning, Stop);
            })));
        }

        Assert.Empty(await Store.Ledger.LoadWaitingAsync(Stop));
        for (int i = 0; i < 2 * Each; i++)
        {
            Assert.Equal(LetterState.Accepted, (await Store.Ledger.FindAsync(Sample.Slot($"Grower {i}"), Stop))!.State);
        }
    }

    [Fact]
    public async Task Tries_are_counted_and_the_last_words_of_the_server_kept()
    {
        SealedLetter letter = Sample.Letter();
        await Store.Ledger.SealAsync(letter, Stop);
        await Store.Ledger.RecordTryAsync(letter.Slot, new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "451 4.7.1 try again"), Sample.Morning, Stop);
        Instant later = Sample.Morning + Duration.FromMinutes(5);
        await Store.Ledger.RecordTryAsync(letter.Slot, new DeliveryResult(DeliveryOutcome.Unknown, DeliveryReason.Connection, "line broke after the dot"), later, Stop);

        LedgerEntry waiting = Assert.Single(await Store.Ledger.LoadWaitingAsync(Stop));
        Assert.Equal((2, later, "line broke after the dot"), (waiting.Tries, waiting.LastTryAt, waiting.LastDetail));

        await Store.Ledger.RecordTryAsync(letter.Slot, DeliveryResult.Accepted("250 2.0.0 ok 77"), later, Stop);
        await ReopenAsync();
        LedgerEntry done = (await Store.Ledger.FindAsync(letter.Slot, Stop))!;
        Assert.Equal((LetterState.Accepted, 3, "250 2.0.0 ok 77"), (done.State, done.Tries, done.LastDetail));
        Assert.Empty(await Store.Ledger.LoadWaitingAsync(Stop));
    }

    // What may follow what: an acceptance is a fact and stays; giving up yields only to an acceptance that came late.
    [Theory]
    [InlineData(DeliveryOutcome.TryLater, DeliveryOutcome.TryLater, LetterState.Waiting)]
    [InlineData(DeliveryOutcome.TryLater, DeliveryOutcome.Unknown, LetterState.Waiting)]
    [InlineData(DeliveryOutcome.TryLater, DeliveryOutcome.GiveUp, LetterState.GivenUp)]
    [InlineData(DeliveryOutcome.Unknown, DeliveryOutcome.Accepted, LetterState.Accepted)]
    [InlineData(DeliveryOutcome.Accepted, DeliveryOutcome.TryLater, LetterState.Accepted)]
    [InlineData(DeliveryOutcome.Accepted, DeliveryOutcome.GiveUp, LetterState.Accepted)]
    [InlineData(DeliveryOutcome.GiveUp, DeliveryOutcome.TryLater, LetterState.GivenUp)]
    [InlineData(DeliveryOutcome.GiveUp, DeliveryOutcome.Unknown, LetterState.GivenUp)]
    [InlineData(DeliveryOutcome.GiveUp, DeliveryOutcome.Accepted, LetterState.Accepted)]
    public async Task The_state_follows_from_the_outcomes(DeliveryOutcome first, DeliveryOutcome second, LetterState expected)
    {
        SealedLetter letter = Sample.Letter();
        await Store.Ledger.SealAsync(letter, Stop);
        await Store.Ledger.RecordTryAsync(letter.Slot, new DeliveryResult(first, DeliveryReason.Connection, "first"), Sample.Morning, Stop);
        await Store.Ledger.RecordTryAsync(letter.Slot, new DeliveryResult(second, DeliveryReason.Connection, "second"), Sample.Morning, Stop);
        Assert.Equal(expected, (await Store.Ledger.FindAsync(letter.Slot, Stop))!.State);
    }

    [Fact]
    public async Task A_try_of_a_letter_that_does_not_exist_is_an_error()
    {
        await Assert.ThrowsAsync<InvalidOperationException>(() => Store.Ledger.RecordTryAsync(Sample.Slot(), DeliveryResult.Accepted("250"), Sample.Morning, Stop));
    }

    [Fact]
    public async Task Waiting_letters_come_oldest_first()
    {
        for (int i = 0; i < 5; i++)
        {
            int minute = (i * 2) % 5;
            await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot($"G{minute}"), sealedAt: Sample.Morning + Duration.FromMinutes(minute)), Stop);
        }

        Assert.Equal(["G0", "G1", "G2", "G3", "G4"], (await Store.Ledger.LoadWaitingAsync(Stop)).Select(entry => entry.Letter.Slot.Grower));
    }

    [Fact]
    public async Task Dates_and_instants_beyond_2038_sort_and_return()
    {
        Instant far = Instant.FromUtc(2099, 12, 31, 23, 59);
        SealedLetter letter = Sample.Letter(Sample.Slot(date: new LocalDate(2099, 12, 31)), sealedAt: far);
        await Store.Ledger.SealAsync(letter, Stop);
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot("Bo Reed")), Stop);
        IReadOnlyList<LedgerEntry> waiting = await Store.Ledger.LoadWaitingAsync(Stop);
        Assert.Equal([Sample.Morning, far], waiting.Select(entry => entry.Letter.SealedAt));
        Assert.Equal(new LocalDate(2099, 12, 31), waiting[1].Letter.Slot.Date);
    }

    [Fact]
    public async Task A_letter_whose_bytes_were_damaged_is_set_aside_and_the_others_go_on()
    {
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot("Bo Reed")), Stop);
        await Store.Ledger.SealAsync(Sample.Letter(), Stop);
        await DamageAsync(Sample.Grower);

        LedgerEntry sound = Assert.Single(await Store.Ledger.LoadWaitingAsync(Stop));
        Assert.Equal("Bo Reed", sound.Letter.Slot.Grower);
        LedgerEntry damaged = (await Store.Ledger.FindAsync(Sample.Slot(), Stop))!;
        Assert.Equal((LetterState.GivenUp, LetterRows.DamagedDetail), (damaged.State, damaged.LastDetail));
    }

    [Fact]
    public async Task The_secret_of_an_installation_is_made_once()
    {
        byte[][] secrets = await Task.WhenAll(Enumerable.Range(0, 8).Select(_ => Store.Notes.LoadSecretAsync(Stop)));
        await ReopenAsync();
        byte[] again = await Store.Notes.LoadSecretAsync(Stop);
        Assert.Equal(32, again.Length);
        Assert.All(secrets, secret => Assert.Equal(again, secret));
    }

    /// <summary>Changes one stored byte behind the program's back.</summary>
    protected abstract Task DamageAsync(string grower);
}
