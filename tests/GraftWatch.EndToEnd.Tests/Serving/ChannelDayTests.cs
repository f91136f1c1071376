using System.Globalization;
using System.Text;
using System.Text.Json;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Inputs;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing.Mail;
using MimeKit;
using MQTTnet;
using NodaTime;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;

namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>Days of the whole daemon with more than one way to reach a grower.</summary>
public sealed class ChannelDayTests : IDisposable
{
    // 05:10 in Berlin on the day of the demonstration; the letter hour is 05:30.
    private const string BeforeTheLetter = "2026-05-12T03:10:00Z";
    private const string Secret = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw";
    private readonly WireMockServer hooks = WireMockServer.Start();

    [Fact]
    public async Task One_letter_goes_by_mail_broker_and_signed_post_under_one_number_and_each_has_its_receipt()
    {
        await using ServeBroker broker = await ServeBroker.StartAsync();
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        Answers(200);
        serve.Secrets["GRAFTWATCH_CHANNEL_BARN"] = Secret;
        serve.WriteSettings(
            serve.Mail.Port,
            grower: "morning = [\"mail\", \"home\", \"barn\"]",
            channels: Channel("home", "mqtt", string.Create(CultureInfo.InvariantCulture, $"mqtt://127.0.0.1:{broker.Port}/orchard")) + Channel("barn", "signed-post", hooks.Url + "/hook"));
        await serve.StartAsync();
        await serve.AdvanceAsync(22);
        await serve.LetterAsync(1);
        await serve.WaitAsync(() => broker.Published.Count == 1 && hooks.LogEntries.Count == 1, "the copies");
        await serve.AdvanceAsync(30);

        Assert.Single(serve.Mail.Received);
        MqttApplicationMessage message = Assert.Single(broker.Published);
        Assert.Equal("orchard/morning", message.Topic);
        using var body = JsonDocument.Parse(Assert.Single(hooks.LogEntries).RequestMessage!.Body!);
        Assert.Equal(1, body.RootElement.GetProperty("data").GetProperty("number").GetInt32());
        IReadOnlyList<LedgerEntry> copies = await serve.Store.Ledger.LoadOccasionAsync(new LetterSlot("Mara", new LocalDate(2026, 5, 12), LetterKind.Morning), default);
        Assert.Equal(["barn", "home", "mail"], copies.Select(copy => copy.Letter.Slot.Channel).Order());
        Assert.All(copies, copy => Assert.Equal((1, LetterState.Accepted, 1), (copy.Letter.Number, copy.State, copy.Tries)));
    }

    [Fact]
    public async Task A_gateway_that_asks_to_wait_is_left_alone_so_long_and_gets_the_same_bytes_then()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        hooks.Given(Request.Create()).InScenario("busy").WillSetStateTo("free").RespondWith(Response.Create().WithStatusCode(429).WithHeader("Retry-After", "1500"));
        hooks.Given(Request.Create()).InScenario("busy").WhenStateIs("free").RespondWith(Response.Create().WithStatusCode(200));
        serve.WriteSettings(serve.Mail.Port, grower: "morning = [\"phone\"]", channels: Channel("phone", "text-post", hooks.Url + "/push"));
        await serve.StartAsync();
        await serve.AdvanceAsync(43);
        Assert.Single(hooks.LogEntries);
        Assert.Contains("1 letter waits for the channel phone", serve.Report.Troubles);

        await serve.AdvanceAsync(5);
        await serve.WaitAsync(() => hooks.LogEntries.Count == 2, "the second try");
        Assert.Single(hooks.LogEntries.Select(entry => entry.RequestMessage!.Body).Distinct());
        Assert.Single(hooks.LogEntries.Select(entry => entry.RequestMessage!.Headers!["Idempotency-Key"].Single()).Distinct());
        Assert.Empty(serve.Mail.Received);
        await serve.AdvanceAsync(1);
        Assert.Empty(serve.Report.Troubles);
    }

    [Fact]
    public async Task Frost_that_a_new_forecast_brings_is_told_between_two_letters_once()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(25);
        await serve.LetterAsync(1);
        Frost(serve);
        Instant turned = serve.Now;
        await serve.AdvanceAsync(145);
        Assert.Single(serve.Mail.Received);

        // The weather is fetched 180 minutes after the start; the clock goes slowly then, for the request's limits are by it. What is new is looked at at once.
        await serve.AdvanceAsync(9);
        await serve.WaitAsync(() => serve.Report.LastWeather > turned, "the new forecast");
        await serve.AdvanceAsync(5);
        ReceivedLetter note = await serve.LetterAsync(2);
        MimeMessage message = note.Parse();
        Assert.Contains("urgent-notes", message.Headers[HeaderId.ListId], StringComparison.Ordinal);
        Assert.Contains("new: ", message.Subject, StringComparison.Ordinal);
        Assert.Contains("frost", message.TextBody, StringComparison.OrdinalIgnoreCase);

        await serve.StopAsync();
        await serve.StartAsync();
        await serve.AdvanceAsync(60);
        Assert.Equal(2, serve.Mail.Received.Count);
        LedgerEntry entry = (await serve.Store.Ledger.FindAsync(new LetterSlot("Mara", new LocalDate(2026, 5, 12), LetterKind.Urgent), default))!;
        Assert.Equal((2, LetterState.Accepted), (entry.Letter.Number, entry.State));
        Assert.Contains(await serve.Store.Register.LoadSaidAsync("Mara", default), said => said.Hazard == Hazard.Frost || said.Action == WorkAction.FrostCover);
    }

    [Fact]
    public async Task A_note_is_held_in_the_holding_hours_and_decided_anew_at_their_end()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        serve.WriteSettings(serve.Mail.Port, grower: "hold_from = \"06:00\"\nhold_until = \"10:00\"\nfrost_passes = false");
        await serve.StartAsync();
        await serve.AdvanceAsync(25);
        await serve.LetterAsync(1);
        Frost(serve);
        Instant turned = serve.Now;

        // The forecast is fetched 180 minutes after the start; the clock goes slowly then, for the request's limits are by it.
        await serve.AdvanceAsync(154);
        await serve.WaitAsync(() => serve.Report.LastWeather > turned, "the new forecast");
        await serve.AdvanceAsync(100);
        Assert.Single(serve.Mail.Received);

        await serve.AdvanceAsync(45);
        ReceivedLetter note = await serve.LetterAsync(2);
        Assert.Contains("new: ", note.Parse().Subject, StringComparison.Ordinal);
        Assert.Equal("2026-05-12 10", note.Parse().Date.ToString("yyyy-MM-dd HH", CultureInfo.InvariantCulture));
    }

    [Fact]
    public async Task Frost_passes_in_the_holding_hours()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        serve.WriteSettings(serve.Mail.Port, grower: "hold_from = \"06:00\"\nhold_until = \"20:00\"");
        await serve.StartAsync();
        await serve.AdvanceAsync(25);
        await serve.LetterAsync(1);
        Frost(serve);
        Instant turned = serve.Now;
        await serve.AdvanceAsync(165);
        await serve.WaitAsync(() => serve.Report.LastWeather > turned, "the new forecast");
        Assert.Contains("frost", (await serve.LetterAsync(2)).Parse().TextBody, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task The_operator_is_told_once_what_must_be_mended_with_an_empty_return_path()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        serve.WriteSettings(
            serve.Mail.Port,
            grower: "morning = [\"mail\", \"barn\"]",
            top: "[operator]\naddress = \"ops@sorrelbank.example\"\n",
            channels: Channel("barn", "signed-post", hooks.Url + "/hook"));
        await serve.StartAsync();
        await serve.AdvanceAsync(3);
        ReceivedLetter told = await serve.LetterAsync(1);
        Assert.Equal(["ops@sorrelbank.example"], told.Recipients);
        Assert.DoesNotContain("@", told.Sender, StringComparison.Ordinal);
        Assert.Contains("There is no secret for the channel barn", told.Parse().TextBody!.ReplaceLineEndings(" "), StringComparison.Ordinal);
        Assert.Contains(serve.Report.Troubles, trouble => trouble.Contains("There is no secret for the channel barn", StringComparison.Ordinal));

        // At the letter hour the channel itself refuses: that is new, and waits until an hour has passed.
        await serve.AdvanceAsync(50);
        Assert.Equal(2, serve.Mail.Received.Count);
        await serve.AdvanceAsync(30);
        ReceivedLetter second = await serve.LetterAsync(3);
        string text = second.Parse().TextBody!.ReplaceLineEndings(" ");
        Assert.Contains("The channel barn is not set up", text, StringComparison.Ordinal);
        Assert.Contains("Told before and still so", text, StringComparison.Ordinal);
        await serve.AdvanceAsync(120);
        Assert.Equal(3, serve.Mail.Received.Count);
    }

    [Fact]
    public async Task A_refused_edit_is_told_to_the_operator_too()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        serve.WriteSettings(serve.Mail.Port, top: "[operator]\naddress = \"ops@sorrelbank.example\"\n");
        await serve.StartAsync();
        serve.WriteBrokenSettings();
        await serve.AdvanceAsync(4);
        Assert.Contains("An edit of the settings was refused", (await serve.LetterAsync(1)).Parse().TextBody!.ReplaceLineEndings(" "), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Whoever_stopped_gets_nothing_until_the_letters_are_resumed()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.Store.Stops.StopAsync("Mara", StoppedBy.Grower, serve.Now, default);
        await serve.AdvanceAsync(40);
        Assert.Empty(serve.Mail.Received);
        Assert.Empty(serve.Report.Troubles);
        Assert.Null(await serve.EntryAsync("2026-05-12"));

        await serve.Store.Stops.ResumeAsync("Mara", default);
        await serve.AdvanceAsync(2);
        await serve.LetterAsync(1);
    }

    [Fact]
    public async Task Growers_of_the_book_are_served_and_their_own_addresses_never_lead_inside()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        DateTimeZone zone = DateTimeZoneProviders.Tzdb["Europe/Berlin"];
        await serve.Store.Book.SavePlaceAsync(new Place("Fern Hollow", new Site { LatitudeDeg = 48.3, LongitudeDeg = 9.2, ElevationM = 500 }, zone), default);
        var bo = new Grower("Bo", "bo@fernhollow.example", zone, new LocalTime(5, 45), UnitSystem.Metric, ["Fern Hollow"]);
        await serve.Store.Book.SaveGrowerAsync(bo, default);
        await serve.Store.Book.SaveGrowerAsync(bo with { Name = "MARA", Address = "other@fernhollow.example" }, default);
        await serve.Store.Book.SaveChannelsAsync(
            "Bo",
            [new GrowerChannel("mail", GrowerChannelKinds.Mail, bo.Address, true, true), new GrowerChannel("hook", GrowerChannelKinds.TextPost, hooks.Url + "/push", true, false)],
            default);
        await serve.AdvanceAsync(40);
        await serve.LetterAsync(2);
        Assert.Equal(["bo@fernhollow.example", "mara@sorrelbank.example"], serve.Mail.Received.SelectMany(letter => letter.Recipients).Order());
        Assert.Empty(hooks.LogEntries);
        LedgerEntry inside = (await serve.Store.Ledger.FindAsync(new LetterSlot("Bo", new LocalDate(2026, 5, 12), LetterKind.Morning) { Channel = LetterSlot.Own("hook") }, default))!;
        Assert.Equal(LetterState.GivenUp, inside.State);
        Assert.Contains("own network", inside.LastDetail, StringComparison.Ordinal);
    }

    [Fact]
    public async Task With_a_public_address_letters_carry_links_that_the_installations_secret_signed()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        serve.WriteSettings(serve.Mail.Port, top: "[page]\npublic_address = \"https://grafts.sorrelbank.example/w\"\n", grower: "picture = false\ncalendar = false");
        await serve.StartAsync();
        await serve.AdvanceAsync(22);
        MimeMessage letter = (await serve.LetterAsync(1)).Parse();
        Assert.Contains("https://grafts.sorrelbank.example/w/w/", letter.Headers[HeaderId.ListUnsubscribe]!, StringComparison.Ordinal);
        Assert.Equal("List-Unsubscribe=One-Click", letter.Headers[HeaderId.ListUnsubscribePost]);
        Assert.DoesNotContain(letter.BodyParts, part => part.ContentType.MimeType is "image/png" or "text/calendar");
        string token = letter.Headers[HeaderId.ListUnsubscribe]!.Split("/w/w/")[1].Split('>')[0];
        var links = new Letters.Links.ActionLinks(new Uri("https://grafts.sorrelbank.example/w"), [await serve.Store.Notes.LoadSecretAsync(default)]);
        Assert.Equal(Letters.Links.LinkState.Good, links.TryRead(token, serve.Now, out Letters.Links.ActionLink? link));
        Assert.Equal(("Mara", Letters.Links.WorkAnswer.Stop), (link!.Grower, link.Answer));
    }

    [Fact]
    public async Task Work_a_grower_notes_is_not_asked_for_in_the_next_letter()
    {
        await using ServeHarness serve = ServeHarness.Prepare(BeforeTheLetter);
        await serve.StartAsync();
        await serve.AdvanceAsync(25);
        Assert.Contains("A1-01, A1-02", WaterOf(await serve.LetterAsync(1)), StringComparison.Ordinal);
        Grower mara = (await serve.ServedAsync()).Find("Mara")!;
        NotingOutcome noted = await Noting.NoteAsync(serve.Store, (await serve.ServedAsync()).Morning.Handbook, mara, "A1-01", "watered", null, serve.Now, default);
        Assert.Equal([WorkAction.Water], Assert.IsType<NotingOutcome.Noted>(noted).Closed);

        await serve.StopAsync();
        serve.Clock.Advance(TimeSpan.FromHours(23.5));
        await serve.StartAsync();
        await serve.AdvanceAsync(25);
        string water = WaterOf(await serve.LetterAsync(2));
        Assert.DoesNotContain("A1-01", water, StringComparison.Ordinal);
        Assert.Contains("A1-02", water, StringComparison.Ordinal);
    }

    public void Dispose() => hooks.Dispose();

    private static string WaterOf(ReceivedLetter letter)
    {
        string text = string.Join(' ', letter.Parse().TextBody!.Split([' ', '\r', '\n'], StringSplitOptions.RemoveEmptyEntries));
        int from = text.IndexOf("Water the stocks", StringComparison.Ordinal);
        Assert.True(from > 0, text);
        return text[from..text.IndexOf("Why ", from, StringComparison.Ordinal)];
    }

    private static void Frost(ServeHarness serve) => serve.WeatherTurns(
        "2026-05-12T19:00", "2026-05-13T04:00", ("temperature_2m", -7), ("dew_point_2m", -9), ("relative_humidity_2m", 85), ("cloud_cover", 0), ("wind_speed_10m", 0.6), ("wind_gusts_10m", 1.2));

    private static string Channel(string name, string kind, string address) =>
        new StringBuilder("[[channel]]\n").Append($"name = \"{name}\"\nkind = \"{kind}\"\naddress = \"{address}\"\ninside = true\n\n").ToString();

    private void Answers(int status) => hooks.Given(Request.Create()).RespondWith(Response.Create().WithStatusCode(status));
}
