using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class PeopleContract : StoreContract
{
    private const string Address = "Ada@Example.org";
    private static readonly DateTimeZone Berlin = DateTimeZoneProviders.Tzdb["Europe/Berlin"];
    private static readonly Duration Quarter = Duration.FromMinutes(15);

    [Fact]
    public async Task A_link_is_used_once_and_opens_a_session()
    {
        Assert.True(await OfferAsync(1));
        Assert.Equal("/today", (await Store.People.FindLinkAsync(Hash(1), Sample.Morning, Stop))!.Target);
        EntryLink? entered = await Store.People.EnterAsync(Hash(1), Hash(101), "a phone", Sample.Morning + Duration.FromMinutes(14), Stop);
        Assert.Equal("ada@example.org", entered!.Address);
        Assert.Null(await Store.People.EnterAsync(Hash(1), Hash(102), "a thief", Sample.Morning + Duration.FromMinutes(14), Stop));
        Assert.Null(await Store.People.FindLinkAsync(Hash(1), Sample.Morning, Stop));
        await ReopenAsync();
        Assert.Equal("a phone", (await Store.People.FindSessionAsync(Hash(101), Sample.Morning + Duration.FromDays(89), Stop))!.Device);
        Assert.Null(await Store.People.FindSessionAsync(Hash(102), Sample.Morning, Stop));
        Assert.Null(await Store.People.FindAsync(Address, Stop));
    }

    [Fact]
    public async Task Two_who_use_a_link_at_once_get_one_session()
    {
        await OfferAsync(1);
        EntryLink?[] entered = await Task.WhenAll(Enumerable.Range(0, 8).Select(i => Store.People.EnterAsync(Hash(1), Hash(200 + i), "x", Sample.Morning, Stop)));
        Assert.Single(entered, link => link is not null);
        Assert.Single(await Store.People.LoadSessionsAsync(Address, Sample.Morning, Stop));
    }

    [Fact]
    public async Task A_link_ends_at_its_instant()
    {
        await OfferAsync(1);
        Assert.NotNull(await Store.People.FindLinkAsync(Hash(1), Sample.Morning + Quarter - Duration.FromSeconds(1), Stop));
        Assert.Null(await Store.People.FindLinkAsync(Hash(1), Sample.Morning + Quarter, Stop));
        Assert.Null(await Store.People.EnterAsync(Hash(1), Hash(101), "x", Sample.Morning + Quarter, Stop));
    }

    [Fact]
    public async Task An_address_gets_its_share_of_links_whatever_its_case_and_nothing_is_kept_beyond_it()
    {
        Assert.True(await OfferAsync(1, most: 2));
        Assert.True(await OfferAsync(2, most: 2, address: "ADA@EXAMPLE.ORG"));
        Assert.False(await OfferAsync(3, most: 2));
        Assert.Equal(2, await Store.PageMails.CountWaitingAsync(Stop));
        Assert.True(await OfferAsync(4, most: 2, at: Sample.Morning + Quarter));
    }

    [Fact]
    public async Task Confirming_a_subscription_is_remembered_and_keeps_a_language_chosen_before()
    {
        await Store.People.SaveAsync(new Person(Address, "de", null, null), Stop);
        await OfferAsync(1, EntryPurpose.Subscribe);
        await Store.People.EnterAsync(Hash(1), Hash(101), "x", Sample.Morning + Duration.FromMinutes(1), Stop);
        Assert.Equal(new Person("ada@example.org", "de", Sample.Morning, Sample.Morning + Duration.FromMinutes(1)), await Store.People.FindAsync(Address, Stop));
    }

    [Fact]
    public async Task Sessions_end_one_by_one_or_all_and_only_their_owners()
    {
        await OfferAsync(1);
        await OfferAsync(2);
        await Store.People.EnterAsync(Hash(1), Hash(101), "one", Sample.Morning, Stop);
        await Store.People.EnterAsync(Hash(2), Hash(102), "two", Sample.Morning, Stop);
        IReadOnlyList<PageSession> open = await Store.People.LoadSessionsAsync(Address, Sample.Morning, Stop);
        Assert.Equal(["two", "one"], open.Select(session => session.Device));
        await Store.People.EndSessionsAsync("bo@example.org", open[0].Id, Sample.Morning, Stop);
        await Store.People.EndSessionsAsync("bo@example.org", null, Sample.Morning, Stop);
        Assert.Equal(2, (await Store.People.LoadSessionsAsync(Address, Sample.Morning, Stop)).Count);
        await Store.People.EndSessionsAsync(Address, open[0].Id, Sample.Morning, Stop);
        Assert.Equal("one", Assert.Single(await Store.People.LoadSessionsAsync(Address, Sample.Morning, Stop)).Device);
        await Store.People.EndSessionsAsync(Address, null, Sample.Morning, Stop);
        Assert.Empty(await Store.People.LoadSessionsAsync(Address, Sample.Morning, Stop));
    }

    [Fact]
    public async Task A_session_that_is_seen_stays_and_an_idle_one_ends()
    {
        await OfferAsync(1);
        await Store.People.EnterAsync(Hash(1), Hash(101), "x", Sample.Morning, Stop);
        long id = (await Store.People.FindSessionAsync(Hash(101), Sample.Morning, Stop))!.Id;
        await Store.People.SeeAsync(id, Sample.Morning + Duration.FromDays(80), Stop);
        Assert.NotNull(await Store.People.FindSessionAsync(Hash(101), Sample.Morning + Duration.FromDays(169), Stop));
        Assert.Null(await Store.People.FindSessionAsync(Hash(101), Sample.Morning + Duration.FromDays(171), Stop));
    }

    [Fact]
    public async Task A_mail_is_taken_by_one_and_again_when_its_holder_died_and_loses_its_bytes_when_done()
    {
        await OfferAsync(1);
        PageMail mail = Assert.Single(await Store.PageMails.TakeDueAsync(Sample.Morning, Duration.FromMinutes(2), 10, Stop));
        Assert.Equal((byte)'M', mail.Bytes.Span[0]);
        Assert.Empty(await Store.PageMails.TakeDueAsync(Sample.Morning + Duration.FromMinutes(1), Duration.FromMinutes(2), 10, Stop));
        Assert.Equal(mail.Id, Assert.Single(await Store.PageMails.TakeDueAsync(Sample.Morning + Duration.FromMinutes(2), Duration.FromMinutes(2), 10, Stop)).Id);
        await Store.PageMails.RecordAsync(mail.Id, new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "451"), Sample.Morning + Duration.FromMinutes(5), Stop);
        Assert.Equal(1, Assert.Single(await Store.PageMails.TakeDueAsync(Sample.Morning + Duration.FromMinutes(5), Duration.FromMinutes(2), 10, Stop)).Tries);
        await Store.PageMails.RecordAsync(mail.Id, DeliveryResult.Accepted("250"), null, Stop);
        Assert.Equal(0, await Store.PageMails.CountWaitingAsync(Stop));
        Assert.Empty(await Store.PageMails.TakeDueAsync(Sample.Morning + Duration.FromHours(1), Duration.FromMinutes(2), 10, Stop));
    }

    [Fact]
    public async Task A_feed_has_one_number_at_a_time_and_never_an_old_one_again()
    {
        Assert.Null(await Store.Feeds.FindAsync(Sample.Grower, Stop));
        Assert.Equal(1, await Store.Feeds.RenewAsync(Sample.Grower, Sample.Morning, Stop));
        Assert.Equal(2, await Store.Feeds.RenewAsync(Sample.Grower, Sample.Morning, Stop));
        Assert.Equal(2, await Store.Feeds.FindAsync(Sample.Grower, Stop));
        await Store.Feeds.CloseAsync(Sample.Grower, Sample.Morning, Stop);
        Assert.Null(await Store.Feeds.FindAsync(Sample.Grower, Stop));
        Assert.Equal(3, await Store.Feeds.RenewAsync(Sample.Grower, Sample.Morning, Stop));
    }

    [Fact]
    public async Task A_line_of_a_letter_is_found_by_its_id_as_it_was_last_said()
    {
        await Store.Said.SealAsync(Sample.Letter(), [Line("B3-07"), Line("B3-08")], Stop);
        SaidAdvice advice = (await Store.SaidAdvice.FindAsync(Sample.Grower, "shade-heat-01", Stop))!;
        Assert.Equal(["B3-07", "B3-08"], advice.Grafts);
        Assert.Equal((Sample.Day, WorkAction.Shade, Hazard.Heat, Level.Act, "Shade them."), (advice.SaidOn, advice.Action, advice.Hazard!.Value, advice.Level, advice.Words));
        Assert.Equal(["foil sleeve"], advice.Materials);
        Assert.Null(await Store.SaidAdvice.FindAsync("Bo Reed", "shade-heat-01", Stop));
        Assert.Null(await Store.SaidAdvice.FindAsync(Sample.Grower, "shade-heat-02", Stop));
    }

    [Fact]
    public async Task Growers_are_found_by_address_and_name_whatever_the_case()
    {
        await Store.Book.SaveGrowerAsync(new Grower("Ada", "Ada@Example.org", Berlin, new LocalTime(6, 0), UnitSystem.Metric, ["x", "y"]), Stop);
        Assert.Equal(["x", "y"], (await Store.Book.FindGrowerByAddressAsync("ADA@example.ORG", Stop))!.Places);
        Assert.Equal("Ada", (await Store.Book.FindGrowerAsync("ada", Stop))!.Name);
        Assert.Null(await Store.Book.FindGrowerByAddressAsync("bo@example.org", Stop));
        Assert.Null(await Store.Book.FindGrowerAsync("bo", Stop));
    }

    [Fact]
    public async Task Who_is_deleted_leaves_nothing_and_others_keep_theirs()
    {
        await FilledStore.FillAsync(Store, Stop, leaveOneWaiting: true);
        var shared = new Place("Shared", new Site { LatitudeDeg = 1, LongitudeDeg = 2, ElevationM = 3 }, Berlin);
        await Store.Book.SavePlaceAsync(shared, Stop);
        await Store.Book.SaveGrowerAsync(new Grower("Bo Reed", "bo@example.org", Berlin, new LocalTime(6, 0), UnitSystem.Metric, ["Shared"]), Stop);
        Grower ada = (await Store.Book.FindGrowerAsync(Sample.Grower, Stop))!;
        await Store.Book.SaveGrowerAsync(ada with { Places = ["Long Meadow", "Shared"] }, Stop);
        await OfferAsync(1, address: ada.Address);
        await Store.People.DeleteAsync(ada.Address.ToUpperInvariant(), ada.Name, [], Stop);
        await ReopenAsync();
        Assert.Equal("Bo Reed", Assert.Single(await Store.Book.LoadGrowersAsync(Stop)).Name);
        Assert.Equal("Shared", Assert.Single(await Store.Book.LoadPlacesAsync(Stop)).Name);
        Assert.Empty(await Store.Ledger.LoadWaitingAsync(Stop));
        Assert.Equal(0, await Store.PageMails.CountWaitingAsync(Stop));
        Assert.Null(await Store.People.FindAsync(ada.Address, Stop));
        Assert.Null(await Store.SaidAdvice.FindAsync(ada.Name, "shade-heat-01234567", Stop));
        Assert.Null(await Store.Weather.LoadAsync("Long Meadow", "open forecast", Instant.FromUtc(2027, 5, 10, 22, 0), Instant.FromUtc(2027, 5, 11, 22, 0), Stop));
        await Store.People.DeleteAsync("nobody@example.org", "Nobody", [], Stop);
    }

    [Fact]
    public async Task Weather_of_a_place_that_is_others_by_the_settings_file_stays_when_a_grower_of_the_book_is_deleted()
    {
        await FilledStore.FillAsync(Store, Stop);
        Grower ada = (await Store.Book.FindGrowerAsync(Sample.Grower, Stop))!;
        Assert.Contains("Long Meadow", ada.Places);
        Assert.NotNull(await WeatherAsync());
        await Store.People.DeleteAsync(ada.Address, ada.Name, ["long meadow"], Stop);
        Assert.Empty(await Store.Book.LoadPlacesAsync(Stop));
        Assert.NotNull(await WeatherAsync());

        Task<HourlyWeather?> WeatherAsync() =>
            Store.Weather.LoadAsync("Long Meadow", "open forecast", Instant.FromUtc(2027, 5, 10, 22, 0), Instant.FromUtc(2027, 5, 11, 22, 0), Stop);
    }

    [Fact]
    public async Task A_confirmed_change_of_address_moves_letters_person_and_mail_channel_and_ends_every_old_session()
    {
        const string New = "Ada@Newplace.example";
        await WithAdaAsync();
        await Store.People.EnterAsync(Hash(1), Hash(101), "old phone", Sample.Morning, Stop);
        Assert.True(await OfferAsync(2, EntryPurpose.ChangeAddress, address: New, target: Address));
        Assert.Null(await Store.People.EnterAsync(Hash(2), Hash(102), "as a sign-in", Sample.Morning, Stop));
        Assert.Equal("ada@newplace.example", (await Store.People.ChangeAddressAsync(Hash(2), Hash(103), "new phone", Sample.Morning, Stop))!.Address);
        Assert.Null(await Store.People.ChangeAddressAsync(Hash(2), Hash(104), "again", Sample.Morning, Stop));
        await ReopenAsync();
        Assert.Equal("ada@newplace.example", (await Store.Book.FindGrowerAsync("Ada Reed", Stop))!.Address);
        Assert.Equal(["ada@newplace.example", "https://push.example.org/a"], (await Store.Book.LoadChannelsAsync("Ada Reed", Stop)).Select(way => way.Target));
        Assert.Null(await Store.People.FindAsync(Address, Stop));
        Assert.Equal(new Person("ada@newplace.example", "de", Sample.Morning, Sample.Morning), await Store.People.FindAsync(New, Stop));
        Assert.Empty(await Store.People.LoadSessionsAsync(Address, Sample.Morning, Stop));
        Assert.Equal("new phone", Assert.Single(await Store.People.LoadSessionsAsync(New, Sample.Morning, Stop)).Device);
    }

    [Fact]
    public async Task An_address_that_became_anothers_meanwhile_is_not_taken_and_the_link_is_used_up()
    {
        await WithAdaAsync();
        await OfferAsync(2, EntryPurpose.ChangeAddress, address: "bo@example.org", target: Address);
        await Store.Book.SaveGrowerAsync(new Grower("Bo Reed", "Bo@Example.org", Berlin, new LocalTime(6, 0), UnitSystem.Metric, []), Stop);
        Assert.Null(await Store.People.ChangeAddressAsync(Hash(2), Hash(103), "x", Sample.Morning, Stop));
        Assert.Equal(Address, (await Store.Book.FindGrowerAsync("Ada Reed", Stop))!.Address);
        Assert.Empty(await Store.People.LoadSessionsAsync("bo@example.org", Sample.Morning, Stop));
        Assert.Null(await Store.People.FindLinkAsync(Hash(2), Sample.Morning, Stop));
    }

    [Fact]
    public async Task Signing_all_out_or_being_deleted_voids_a_change_that_was_asked_for()
    {
        await WithAdaAsync();
        await OfferAsync(2, EntryPurpose.ChangeAddress, address: "eve@example.org", target: Address);
        await Store.People.EndSessionsAsync(Address, null, Sample.Morning, Stop);
        Assert.Null(await Store.People.ChangeAddressAsync(Hash(2), Hash(103), "x", Sample.Morning, Stop));
        await OfferAsync(3, EntryPurpose.ChangeAddress, address: "eve@example.org", target: Address);
        await Store.People.DeleteAsync(Address, "Ada Reed", [], Stop);
        Assert.Null(await Store.People.FindLinkAsync(Hash(3), Sample.Morning, Stop));
    }

    [Fact]
    public async Task A_letter_sealed_before_the_change_keeps_its_address_and_its_bytes()
    {
        await WithAdaAsync();
        var letter = new SealedLetter(new LetterSlot("Ada Reed", Sample.Day, LetterKind.Morning), 1, "m9@letters.example", Address, "Today", "MIME"u8.ToArray(), Sample.Morning);
        Assert.True(await Store.Ledger.SealAsync(letter, Stop));
        await OfferAsync(2, EntryPurpose.ChangeAddress, address: "ada@newplace.example", target: Address);
        Assert.NotNull(await Store.People.ChangeAddressAsync(Hash(2), Hash(103), "x", Sample.Morning, Stop));
        SealedLetter kept = (await Store.Ledger.FindAsync(letter.Slot, Stop))!.Letter;
        Assert.Equal((Address, "MIME"), (kept.Recipient, System.Text.Encoding.ASCII.GetString(kept.Bytes.Span)));
    }

    [Fact]
    public async Task What_is_over_is_tidied_away()
    {
        await OfferAsync(1);
        await OfferAsync(2);
        await Store.People.EnterAsync(Hash(1), Hash(101), "x", Sample.Morning, Stop);
        Assert.Equal(0, await Store.People.TidyAsync(Sample.Morning + Duration.FromHours(1), Stop));
        Assert.Equal(4, await Store.People.TidyAsync(Sample.Morning + Duration.FromDays(2), Stop));
        Assert.NotNull(await Store.People.FindSessionAsync(Hash(101), Sample.Morning + Duration.FromDays(2), Stop));
        Assert.Equal(1, await Store.People.TidyAsync(Sample.Morning + Duration.FromDays(91), Stop));
    }

    private async Task WithAdaAsync()
    {
        await Store.Book.SaveGrowerAsync(new Grower("Ada Reed", Address, Berlin, new LocalTime(6, 0), UnitSystem.Metric, []), Stop);
        await Store.Book.SaveChannelsAsync("Ada Reed", [new GrowerChannel("mail", GrowerChannelKinds.Mail, Address, true, true), new GrowerChannel("phone", GrowerChannelKinds.TextPost, "https://push.example.org/a", false, true)], Stop);
        await Store.People.SaveAsync(new Person(Address, "de", Sample.Morning, Sample.Morning), Stop);
        await OfferAsync(1);
    }

    private static SaidLine Line(string graft) => new(WorkAction.Shade, Hazard.Heat, graft, Level.Act, Sample.Day) { Advice = "shade-heat-01", Words = "Shade them.", Materials = ["foil sleeve"] };

    private static byte[] Hash(int of) => [.. BitConverter.GetBytes(of), .. new byte[28]];

    private Task<bool> OfferAsync(int of, EntryPurpose purpose = EntryPurpose.SignIn, int most = 10, string address = Address, Instant? at = null, string target = "/today")
    {
        Instant now = at ?? Sample.Morning;
        var link = new EntryLink(Hash(of), address, purpose, target, now, now + Quarter);
        return Store.People.OfferAsync(link, new PageMail(0, address, $"m{of}@example.org", "Your link", "MIME"u8.ToArray(), now, now + Quarter), most, Quarter, Stop);
    }
}
