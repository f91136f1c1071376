using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class ShelfContract : StoreContract
{
    private static readonly DeliveryResult Busy = new(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "451 come back later");
    private static readonly DeliveryResult Late = new(DeliveryOutcome.GiveUp, DeliveryReason.TooLate, "Too late after 1 tries");
    private static readonly DeliveryResult Unknown = new(DeliveryOutcome.GiveUp, DeliveryReason.BadRecipient, "550 nobody here");

    [Fact]
    public async Task Letters_come_newest_first_and_page_by_page_without_their_bytes()
    {
        for (int number = 1; number <= 5; number++)
        {
            Assert.True(await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(date: Sample.Day.PlusDays(number)), number), Stop));
        }

        IReadOnlyList<ShelvedLetter> first = await Store.Shelf.LoadAsync(new ShelfWish(), 3, Stop);
        IReadOnlyList<ShelvedLetter> second = await Store.Shelf.LoadAsync(new ShelfWish { Before = first[^1].Id }, 3, Stop);

        Assert.Equal([5, 4, 3], first.Select(letter => letter.Entry.Letter.Number));
        Assert.Equal([2, 1], second.Select(letter => letter.Entry.Letter.Number));
        Assert.All(first, letter => Assert.True(letter.Entry.Letter.Bytes.IsEmpty));
        Assert.All(first, letter => Assert.Null(letter.Why));
    }

    [Fact]
    public async Task Each_state_finds_its_letters_for_everybody_and_for_one_grower()
    {
        await FillAsync();
        foreach (string? grower in (string?[])[null, Sample.Grower])
        {
            Assert.Equal([4, 3, 2, 1], await NumbersAsync(ShelfState.Any, grower));
            Assert.Equal([1], await NumbersAsync(ShelfState.Waiting, grower));
            Assert.Equal([2], await NumbersAsync(ShelfState.HandedOver, grower));
            Assert.Equal([4, 3], await NumbersAsync(ShelfState.GivenUp, grower));
            Assert.Equal([3], await NumbersAsync(ShelfState.TooLate, grower));
        }

        Assert.Empty(await NumbersAsync(ShelfState.Any, "Nobody"));
    }

    [Fact]
    public async Task One_letter_comes_with_its_bytes_and_every_try_with_the_servers_words()
    {
        await FillAsync();
        ShelvedLetter late = Assert.Single(await Store.Shelf.LoadAsync(new ShelfWish { State = ShelfState.TooLate }, 10, Stop));

        ShelvedLetter whole = Assert.IsType<ShelvedLetter>(await Store.Shelf.FindAsync(late.Id, Stop));
        IReadOnlyList<LetterTry> tries = await Store.Shelf.LoadTriesAsync(late.Id, Stop);

        Assert.False(whole.Entry.Letter.Bytes.IsEmpty);
        Assert.Equal(DeliveryReason.TooLate, whole.Why);
        Assert.Equal([new LetterTry(1, Sample.Morning, Busy), new LetterTry(2, Sample.Morning + Duration.FromHours(12), Late)], tries);
        Assert.Null(await Store.Shelf.FindAsync(long.MaxValue, Stop));
        Assert.Empty(await Store.Shelf.LoadTriesAsync(long.MaxValue, Stop));
    }

    [Fact]
    public async Task Copies_of_a_letter_are_found_from_any_of_them()
    {
        Assert.True(await Store.Said.SealAsync(Sample.Copies(LetterSlot.Mail, "phone"), [], Stop));
        Assert.True(await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(date: Sample.Day.PlusDays(1)), 2), Stop));
        IReadOnlyList<ShelvedLetter> all = await Store.Shelf.LoadAsync(new ShelfWish(), 10, Stop);
        Assert.Equal(3, all.Count);
        foreach (ShelvedLetter copy in all.Where(letter => letter.Entry.Letter.Number == 1))
        {
            Assert.Equal([LetterSlot.Mail, "phone"], (await Store.Shelf.LoadCopiesAsync(copy.Id, Stop)).Select(letter => letter.Entry.Letter.Slot.Channel));
        }
    }

    private async Task FillAsync()
    {
        LetterSlot[] slots = [.. Enumerable.Range(0, 4).Select(day => Sample.Slot(date: Sample.Day.PlusDays(day)))];
        for (int index = 0; index < slots.Length; index++)
        {
            Assert.True(await Store.Ledger.SealAsync(Sample.Letter(slots[index], index + 1), Stop));
        }

        await Store.Ledger.RecordTryAsync(slots[0], Busy, Sample.Morning, Stop);
        await Store.Ledger.RecordTryAsync(slots[1], DeliveryResult.Accepted("250 taken"), Sample.Morning, Stop);
        await Store.Ledger.RecordTryAsync(slots[2], Busy, Sample.Morning, Stop);
        await Store.Ledger.RecordTryAsync(slots[2], Late, Sample.Morning + Duration.FromHours(12), Stop);
        await Store.Ledger.RecordTryAsync(slots[3], Unknown, Sample.Morning, Stop);
    }

    private async Task<IEnumerable<int>> NumbersAsync(ShelfState state, string? grower) =>
        (await Store.Shelf.LoadAsync(new ShelfWish { State = state, Grower = grower }, 10, Stop)).Select(letter => letter.Entry.Letter.Number);
}
