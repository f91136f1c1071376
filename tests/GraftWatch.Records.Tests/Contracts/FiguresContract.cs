using GraftWatch.Records.Ledger;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class FiguresContract : StoreContract
{
    [Fact]
    public async Task What_waits_is_counted_by_kind_and_channel_with_the_age_of_the_oldest()
    {
        await Store.Said.SealAsync(Sample.Copies(1, "mail", "phone"), [], Stop);
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(date: Sample.Day.PlusDays(1)), 2, Sample.Morning + Duration.FromDays(1)), Stop);
        await Store.Ledger.SealAsync(Sample.Letter(Sample.Slot(kind: LetterKind.Urgent), 3, Sample.Morning + Duration.FromHours(2)), Stop);
        Assert.Equal(
            [
                new WaitingLetters(LetterKind.Morning, "mail", 2, Sample.Morning),
                new WaitingLetters(LetterKind.Morning, "phone", 1, Sample.Morning),
                new WaitingLetters(LetterKind.Urgent, "mail", 1, Sample.Morning + Duration.FromHours(2)),
            ],
            await Store.Figures.LoadWaitingAsync(Stop));
    }

    [Fact]
    public async Task Bytes_of_a_day_and_the_newest_note_follow_what_is_written()
    {
        Assert.Null(await Store.Figures.LoadNewestAsync(Stop));
        Assert.Equal(0, await Store.Figures.LoadBytesSinceAsync(Instant.MinValue, Stop));
        SealedLetter letter = Sample.Letter();
        await Store.Ledger.SealAsync(letter, Stop);
        Assert.Equal(Sample.Morning, await Store.Figures.LoadNewestAsync(Stop));
        Assert.Equal(letter.Bytes.Length, await Store.Figures.LoadBytesSinceAsync(Sample.Morning, Stop));
        Assert.Equal(0, await Store.Figures.LoadBytesSinceAsync(Sample.Morning + Duration.FromSeconds(1), Stop));
        await Store.Ledger.RecordTryAsync(letter.Slot, DeliveryResult.Accepted("250"), Sample.Morning + Duration.FromMinutes(1), Stop);
        Assert.Equal(Sample.Morning + Duration.FromMinutes(1), await Store.Figures.LoadNewestAsync(Stop));
    }
}
