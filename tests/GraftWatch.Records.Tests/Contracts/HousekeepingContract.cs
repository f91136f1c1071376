using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Housekeeping;
using GraftWatch.Records.Inspection;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class HousekeepingContract : StoreContract
{
    private static readonly DeliveryResult Accepted = DeliveryResult.Accepted("250");

    [Fact]
    public async Task What_is_older_than_its_time_is_dropped_and_notes_of_growers_stay()
    {
        await FilledStore.FillAsync(Store, Stop);
        Assert.Equal(new TidyReport(0, 0, 0, 0), await Store.House.TidyAsync(Sample.Day.PlusDays(400), new Retention(), [], Stop));
        Assert.Equal(new TidyReport(2, 4, 1, 0), await Store.House.TidyAsync(Sample.Day.PlusDays(402), new Retention(), [], Stop));
        // The sample's hours run from the 10th to the 12th: keeping from the 11th on leaves the series without its first day.
        Assert.Equal(new TidyReport(0, 0, 0, 2), await Store.House.TidyAsync(Sample.Day.PlusDays(1097), new Retention(), [], Stop));
        KeptWeather shortened = (await Store.History.LoadAsync("Long Meadow", NodaTime.Instant.MinValue, Stop))!;
        Assert.Equal((NodaTime.Instant.FromUtc(2027, 5, 11, 1, 0), 27), (shortened.Weather.FirstHourEnd, shortened.Weather.Hours));
        Assert.Equal(new TidyReport(0, 0, 0, 4), await Store.House.TidyAsync(Sample.Day.PlusDays(1100), new Retention(), [], Stop));
        Assert.Null(await Store.History.LoadAsync("Long Meadow", NodaTime.Instant.MinValue, Stop));
        Assert.Equal(2, (await Store.Keeper.LoadNotesAsync(Sample.Grower, Stop)).Count);
        Assert.Equal(2, (await Store.Register.LoadGraftsAsync(Sample.Grower, Stop)).Count);
    }

    [Fact]
    public async Task A_dropped_letter_can_never_be_made_again_and_numbers_go_on()
    {
        for (int day = 0; day < 10; day++)
        {
            LetterSlot slot = Sample.Slot(date: Sample.Day.PlusDays(day));
            await Store.Ledger.SealAsync(Sample.Letter(slot, day + 1), Stop);
            await Store.Ledger.RecordTryAsync(slot, Accepted, Sample.Morning, Stop);
        }

        await Store.House.TidyAsync(Sample.Day.PlusDays(405), new Retention(), [], Stop);
        await ReopenAsync();
        for (int day = 0; day < 10; day++)
        {
            LetterSlot slot = Sample.Slot(date: Sample.Day.PlusDays(day));
            Assert.Equal(day < 5, await Store.Ledger.FindAsync(slot, Stop) is null);
            Assert.False(await Store.Ledger.SealAsync(Sample.Letter(slot, 11), Stop));
        }

        Assert.Equal(11, await Store.Ledger.NextNumberAsync(Sample.Grower, Stop));
    }

    [Fact]
    public async Task A_clock_that_was_years_ahead_once_does_not_drop_what_waits()
    {
        await Store.Ledger.SealAsync(Sample.Letter(), Stop);
        await Store.House.TidyAsync(Sample.Day.PlusYears(9), new Retention(), [], Stop);
        Assert.Single(await Store.Ledger.LoadWaitingAsync(Stop));
    }

    [Fact]
    public async Task After_14_days_a_letter_loses_its_bytes_and_keeps_everything_else()
    {
        for (int day = 0; day < 3; day++)
        {
            LetterSlot slot = Sample.Slot(date: Sample.Day.PlusDays(day));
            await Store.Ledger.SealAsync(Sample.Letter(slot, day + 1), Stop);
            await Store.Ledger.RecordTryAsync(slot, Accepted, Sample.Morning, Stop);
        }

        LedgerEntry before = (await Store.Ledger.FindAsync(Sample.Slot(), Stop))!;
        Assert.Equal(0, (await Store.House.TidyAsync(Sample.Day.PlusDays(14), Retention.Usual, [], Stop)).LetGo);
        Assert.Equal(1, (await Store.House.TidyAsync(Sample.Day.PlusDays(15), Retention.Usual, [], Stop)).LetGo);
        Assert.Equal(0, (await Store.House.TidyAsync(Sample.Day.PlusDays(15), Retention.Usual, [], Stop)).LetGo);
        await ReopenAsync();

        LedgerEntry after = (await Store.Ledger.FindAsync(Sample.Slot(), Stop))!;
        Assert.Equal(0, after.Letter.Bytes.Length);
        Assert.Equal(before.Letter.Bytes.Length, after.Letter.BytesLetGo);
        Assert.Equal(before with { Letter = before.Letter with { Bytes = default } }, after with { Letter = after.Letter with { Bytes = default, BytesLetGo = null } });
        ShelvedLetter shelved = (await Store.Shelf.LoadAsync(new ShelfWish { Grower = Sample.Grower }, 5, Stop))[^1];
        Assert.Equal(after.Letter.BytesLetGo, (await Store.Shelf.FindAsync(shelved.Id, Stop))!.Entry.Letter.BytesLetGo);
        Assert.Single(await Store.Shelf.LoadTriesAsync(shelved.Id, Stop));
        LedgerEntry next = (await Store.Ledger.FindAsync(Sample.Slot(date: Sample.Day.PlusDays(1)), Stop))!;
        Assert.Null(next.Letter.BytesLetGo);
        Assert.Equal(Sample.Letter(next.Letter.Slot, 2).Bytes.ToArray(), next.Letter.Bytes.ToArray());
        Assert.False(await Store.Ledger.SealAsync(Sample.Letter(), Stop));
        Assert.Equal(4, await Store.Ledger.NextNumberAsync(Sample.Grower, Stop));
    }

    [Fact]
    public async Task What_waits_and_the_newest_morning_letter_keep_their_bytes_however_old_they_are()
    {
        LetterSlot oldest = Sample.Slot(date: Sample.Day.PlusDays(-1)), waits = Sample.Slot(), newest = Sample.Slot(date: Sample.Day.PlusDays(1));
        await Store.Ledger.SealAsync(Sample.Letter(oldest, 1), Stop);
        await Store.Ledger.SealAsync(Sample.Letter(waits, 2), Stop);
        await Store.Ledger.SealAsync(Sample.Letter(newest, 3), Stop);
        await Store.Ledger.RecordTryAsync(oldest, new DeliveryResult(DeliveryOutcome.GiveUp, DeliveryReason.Refused, "550"), Sample.Morning, Stop);
        await Store.Ledger.RecordTryAsync(newest, Accepted, Sample.Morning, Stop);
        Assert.Equal(1, (await Store.House.TidyAsync(Sample.Day.PlusDays(300), Retention.Usual, [], Stop)).LetGo);
        Assert.NotNull((await Store.Ledger.FindAsync(oldest, Stop))!.Letter.BytesLetGo);
        Assert.Null((await Store.Ledger.FindAsync(newest, Stop))!.Letter.BytesLetGo);
        Assert.Equal(Sample.Letter(waits, 2).Bytes.ToArray(), Assert.Single(await Store.Ledger.LoadWaitingAsync(Stop)).Letter.Bytes.ToArray());
    }

    [Fact]
    public async Task Hundreds_of_letters_are_let_go_in_one_night()
    {
        for (int number = 1; number <= 450; number++)
        {
            LetterSlot slot = Sample.Slot(date: Sample.Day.PlusDays(number));
            await Store.Ledger.SealAsync(Sample.Letter(slot, number), Stop);
            await Store.Ledger.RecordTryAsync(slot, Accepted, Sample.Morning, Stop);
        }

        Assert.Equal(449, (await Store.House.TidyAsync(Sample.Day.PlusDays(1000), new Retention(LetterDays: 2000), [], Stop)).LetGo);
    }

    [Fact]
    public async Task What_is_needed_of_a_day_is_known_when_its_letters_were_let_go()
    {
        await Store.Ledger.SealAsync(Sample.Letter(), Stop);
        await Store.Ledger.RecordTryAsync(Sample.Slot(), Accepted, Sample.Morning, Stop);
        LetterSlot next = Sample.Slot(date: Sample.Day.PlusDays(1));
        await Store.Ledger.SealAsync(Sample.Letter(next, 2), Stop);
        long before = await Store.Figures.LoadBytesSinceAsync(NodaTime.Instant.MinValue, Stop);
        await Store.House.TidyAsync(Sample.Day.PlusDays(60), Retention.Usual, [], Stop);
        Assert.Equal(before, await Store.Figures.LoadBytesSinceAsync(NodaTime.Instant.MinValue, Stop));
    }

    [Fact]
    public void Bytes_cannot_be_kept_for_less_than_14_days() => Assert.Throws<ArgumentOutOfRangeException>(() => new Retention(BytesDays: 13));

    [Fact]
    public async Task A_place_that_no_grower_has_goes_with_its_weather_and_one_of_the_file_keeps_its_weather()
    {
        await FilledStore.FillAsync(Store, Stop);
        IReadOnlyList<Place> known = await Store.Book.LoadPlacesAsync(Stop);
        KeptWeather weather = (await Store.History.LoadAsync("Long Meadow", NodaTime.Instant.MinValue, Stop))!;
        foreach (string stray in (string[])["Old Dell", "Field of the file"])
        {
            await Store.Book.SavePlaceAsync(known[0] with { Name = stray }, Stop);
            await Store.History.SaveAsync(stray, weather, Stop);
        }

        await Store.Book.SaveGrowerAsync((await Store.Book.LoadGrowersAsync(Stop))[0] with { Name = "Half", Address = string.Empty, Places = [] }, Stop);
        StoreFindings found = Rig is PostgresRig server
            ? await StoreInspection.LookAtServerAsync(server.ConnectionString, Stop)
            : await StoreInspection.LookAsync(((SqliteRig)Rig).File, DiskFacts.OfSystem, Stop);
        Assert.Contains(found.Remarks, remark => remark.What == "2 places that no grower has: Field of the file, Old Dell.");
        Assert.Contains(found.Remarks, remark => remark.What == "1 grower of the store without a mail address: Half.");
        Assert.Equal(2, (await Store.House.TidyAsync(Sample.Day, new Retention(), ["field of the FILE"], Stop)).StrayPlaces);
        await ReopenAsync();
        Assert.Equal(known.Select(place => place.Name), (await Store.Book.LoadPlacesAsync(Stop)).Select(place => place.Name));
        Assert.Null(await Store.History.LoadAsync("Old Dell", NodaTime.Instant.MinValue, Stop));
        Assert.NotNull(await Store.History.LoadAsync("Field of the file", NodaTime.Instant.MinValue, Stop));
        Assert.NotNull(await Store.History.LoadAsync("Long Meadow", NodaTime.Instant.MinValue, Stop));
        Assert.Equal(0, (await Store.House.TidyAsync(Sample.Day, new Retention(), [], Stop)).StrayPlaces);
    }

    [Fact]
    public async Task A_grower_without_an_address_goes_when_nothing_is_kept_of_them_and_is_named_when_something_is()
    {
        await FilledStore.FillAsync(Store, Stop);
        Grower somebody = (await Store.Book.LoadGrowersAsync(Stop))[0];
        await Store.Book.SaveGrowerAsync(somebody with { Name = "Half", Address = string.Empty, Places = ["Nowhere"] }, Stop);
        await Store.Book.SaveGrowerAsync(somebody with { Name = "Old hand", Address = " " }, Stop);
        await Store.Keeper.ReplaceGraftsAsync("Old hand", await Store.Register.LoadGraftsAsync(Sample.Grower, Stop), Stop);
        TidyReport tidied = await Store.House.TidyAsync(Sample.Day, new Retention(), [], Stop);
        Assert.Equal((1, "1 grower of the store without a mail address: Old hand."), (tidied.StrayGrowers, tidied.WithoutAddress));
        Assert.DoesNotContain(await Store.Book.LoadGrowersAsync(Stop), grower => grower.Name == "Half");
        Assert.Equal(2, (await Store.Register.LoadGraftsAsync("Old hand", Stop)).Count);
    }

    [Fact]
    public void Letters_cannot_be_kept_for_less_than_400_days() => Assert.Throws<ArgumentOutOfRangeException>(() => new Retention(399));
}
