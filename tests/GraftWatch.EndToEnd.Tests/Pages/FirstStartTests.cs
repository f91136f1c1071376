using System.Net;
using System.Net.Http.Headers;
using GraftWatch.Pages.FirstStart;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using GraftWatch.Settings;
using GraftWatch.Settings.Installation;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Time.Testing;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class FirstStartTests : IAsyncDisposable
{
    private const string Password = "four Words \"and\" \\ a slash";
    private readonly string folder = Directory.CreateTempSubdirectory("graftwatch-first-").FullName;
    private readonly FakeTimeProvider clock = new(new DateTimeOffset(2026, 5, 12, 1, 0, 0, TimeSpan.Zero));
    private FirstStartHost? host;

    private string SettingsPath => Path.Combine(folder, "graftwatch.toml");

    [Fact]
    public async Task Four_answers_lead_to_settings_without_a_fault_and_the_browser_stays_signed_in_as_the_operator()
    {
        using Browser browser = await EnterAsync();
        Assert.Equal("/first-start/mail", (await browser.PressAsync("/first-start/place", "/first-start/place", ("where", "48.02, 9.06"), ("elevation", "465"), ("place", "Sorrel \"Bank\" \\ Süd"), ("zone", ""))).LeadsTo);
        Assert.Equal("/first-start/grower", (await browser.PressAsync("/first-start/mail", "/first-start/mail", ("act", "files"))).LeadsTo);
        Assert.Equal("/first-start/register", (await browser.PressAsync("/first-start/grower", "/first-start/grower", ("address", "mara.vale@sorrelbank.example"), ("name", ""), ("hour", "06:00"), ("units", "metric"))).LeadsTo);
        Assert.Equal("/first-start/finish", (await browser.PressAsync("/first-start/register", "/first-start/register", ("act", "none"))).LeadsTo);
        Assert.False(File.Exists(SettingsPath));
        Assert.Equal("/first-start/done", (await browser.PressAsync("/first-start/finish", "/first-start/finish")).LeadsTo);

        Loaded<GraftWatchSettings> read = SettingsLoader.LoadGraftWatch(SettingsPath);
        Assert.Empty(read.Faults);
        Assert.Empty(read.Warnings);
        Assert.Equal("Sorrel \"Bank\" \\ Süd", read.Value!.Places[0].Name);
        Assert.Equal((48.02, 9.06, 465.0), (read.Value.Places[0].Site.LatitudeDeg, read.Value.Places[0].Site.LongitudeDeg, read.Value.Places[0].Site.ElevationM));
        Assert.Equal(("Mara Vale", "mara.vale@sorrelbank.example"), (read.Value.Growers[0].Name, read.Value.OperatorAddress));
        Assert.Null(read.Value.Mail);

        string session = browser.Cookies.GetCookies(host!.Address)["gw-session"]!.Value;
        await using SqliteStore store = await SqliteStore.OpenAsync(ServeSettings.StorePath(read.Value), new SqliteStoreOptions { Clock = clock }, default);
        PageSession? open = await store.People.FindSessionAsync(GraftWatch.Pages.Security.Tokens.Hash(session), Instant.FromDateTimeOffset(clock.GetUtcNow()), default);
        Assert.Equal("mara.vale@sorrelbank.example", open?.Address);
        Assert.Equal(0, await store.PageMails.CountWaitingAsync(default));
        Assert.Contains("06:00", (await browser.OpenAsync("/first-start/done")).Plain, StringComparison.Ordinal);
        await host.Desk.Finished.WaitAsync(TimeSpan.FromSeconds(10), TestContext.Current.CancellationToken);
    }

    [Fact]
    public async Task The_mail_server_is_tried_with_its_certificate_and_the_password_lands_in_a_file_of_its_own()
    {
        await using LoopbackMailServer mail = LoopbackMailServer.Start(new LoopbackMailOptions { Certificate = LoopbackMailServer.MakeCertificate(), UserName = "graftwatch@sorrelbank.example", Password = Password });
        using Browser browser = await EnterAsync();
        await PlaceAsync(browser);
        (string, string)[] Fields(string password, string certificate) =>
        [
            ("act", "test"), ("host", "localhost"), ("port", mail.Port.ToString(System.Globalization.CultureInfo.InvariantCulture)), ("security", "starttls"), ("user", "graftwatch@sorrelbank.example"), ("password", password), ("from", ""), ("certificate", certificate),
        ];
        Shown untrusted = await browser.PressAsync("/first-start/mail", "/first-start/mail", Fields(Password, ""));
        Assert.Contains(mail.CertificateSha256, untrusted.Plain, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("four Words", untrusted.Text, StringComparison.Ordinal);
        Shown wrong = await browser.PressAsync("/first-start/mail", "/first-start/mail", Fields("wrong one", mail.CertificateSha256));
        Assert.Contains("does not let graftwatch@sorrelbank.example in", wrong.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("wrong one", wrong.Text, StringComparison.Ordinal);
        Shown works = await browser.PressAsync("/first-start/mail", "/first-start/mail", Fields(Password, mail.CertificateSha256));
        Assert.True(works.LeadsTo == "/first-start/grower?said=mail-works", works.Plain);

        Shown grower = await browser.OpenAsync("/first-start/grower");
        Assert.Contains("value=\"graftwatch@sorrelbank.example\"", grower.Text, StringComparison.Ordinal);
        await browser.PressAsync("/first-start/grower", "/first-start/grower", ("address", "mara@sorrelbank.example"), ("name", "Mara"), ("hour", "05:30"), ("units", "us"));
        await browser.PressAsync("/first-start/register", "/first-start/register", ("act", "none"));
        await browser.PressAsync("/first-start/finish", "/first-start/finish");

        GraftWatchSettings settings = SettingsLoader.LoadGraftWatch(SettingsPath).Value!;
        Assert.Equal(Path.Combine(folder, "mail-password"), settings.Mail!.PasswordFile);
        Assert.DoesNotContain("four Words", await File.ReadAllTextAsync(SettingsPath, TestContext.Current.CancellationToken), StringComparison.Ordinal);
        if (!OperatingSystem.IsWindows())
        {
            Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite, File.GetUnixFileMode(settings.Mail.PasswordFile!));
        }

        Assert.Equal(Password, MailSetUp.Options(settings.Mail, _ => null, out string trouble).Password);
        Assert.Empty(trouble);
    }

    [Fact]
    public async Task A_mail_server_that_is_not_there_is_named_and_can_be_kept_all_the_same()
    {
        using Browser browser = await EnterAsync();
        await PlaceAsync(browser);
        string port = LoopbackMailServer.FreePort().ToString(System.Globalization.CultureInfo.InvariantCulture);
        (string, string)[] Fields(string act) => [("act", act), ("host", "127.0.0.1"), ("port", port), ("security", "plain"), ("user", ""), ("password", ""), ("from", "graftwatch@sorrelbank.example"), ("certificate", "")];
        Shown failed = await browser.PressAsync("/first-start/mail", "/first-start/mail", Fields("test"));
        Assert.Contains($"nothing answers at 127.0.0.1:{port}", failed.Plain, StringComparison.Ordinal);
        Assert.Equal("/first-start/mail", (await browser.LookAsync("/")).LeadsTo);
        Assert.Equal("/first-start/grower", (await browser.PressAsync("/first-start/mail", "/first-start/mail", Fields("keep"))).LeadsTo);
    }

    [Fact]
    public async Task A_register_is_taken_whole_or_refused_with_its_faults()
    {
        using Browser browser = await EnterAsync();
        await PlaceAsync(browser);
        await browser.PressAsync("/first-start/mail", "/first-start/mail", ("act", "files"));
        await browser.PressAsync("/first-start/grower", "/first-start/grower", ("address", "mara@sorrelbank.example"), ("name", "Mara"), ("hour", "05:30"), ("units", "metric"));
        string register = await File.ReadAllTextAsync(Repository.PathOf("src", "GraftWatch", "Demo", "register.csv"), TestContext.Current.CancellationToken);
        Shown refused = await UploadAsync(browser, register + "Z9,Elsewhere,,,,<b>aple</b>,,,cleft,2026-05-01,1,S,0,1,30,none,none,none,0,0,0,no,\n");
        Assert.Equal(HttpStatusCode.OK, refused.Status);
        Assert.Contains("register.csv:18", refused.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("<b>", refused.Text, StringComparison.Ordinal);
        Assert.Contains("Choose a file", (await browser.PressAsync("/first-start/register", "/first-start/register", ("act", "read"))).Plain, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.RequestEntityTooLarge, (await UploadAsync(browser, new string('x', 2_200_000))).Status);

        Assert.Equal("/first-start/finish", (await UploadAsync(browser, register)).LeadsTo);
        Assert.Contains("16 grafts", (await browser.OpenAsync("/first-start/finish")).Plain, StringComparison.Ordinal);
        await browser.PressAsync("/first-start/finish", "/first-start/finish");
        GraftWatchSettings settings = SettingsLoader.LoadGraftWatch(SettingsPath).Value!;
        await using SqliteStore store = await SqliteStore.OpenAsync(ServeSettings.StorePath(settings), new SqliteStoreOptions { Clock = clock }, default);
        Assert.Equal(16, (await store.Register.LoadGraftsAsync("Mara", default)).Count);
    }

    [Fact]
    public async Task Without_the_code_nothing_can_be_seen_or_done_and_each_code_works_once()
    {
        using Browser browser = await EnterAsync();
        using var stranger = new Browser(host!.Address, "en");
        foreach (string path in (string[])["/first-start/place", "/first-start/mail", "/first-start/grower", "/first-start/register", "/first-start/finish", "/first-start/done"])
        {
            Assert.Equal("/", (await stranger.LookAsync(path)).LeadsTo);
        }

        string token = (await stranger.OpenAsync("/")).FormToken;
        Assert.Equal("/", (await stranger.PostAsync("/first-start/finish", ("_form", token))).LeadsTo);
        Assert.Equal(HttpStatusCode.Forbidden, (await stranger.PostAsync("/first-start", ("code", host.Desk.Code))).Status);
        Assert.Equal(HttpStatusCode.Forbidden, (await stranger.PostAsync("/first-start", "cross-site", [("_form", token), ("code", host.Desk.Code)])).Status);
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.PostAsync("/first-start/mail", ("act", "files"))).Status);
        string next = host.Desk.Code;
        Assert.Equal("/first-start/place", (await stranger.PostAsync("/first-start", ("_form", token), ("code", FirstStartDesk.Spell(next).ToUpperInvariant()))).LeadsTo);
        Assert.NotEqual(next, host.Desk.Code);
        Assert.Equal("/", (await browser.LookAsync("/first-start/place")).LeadsTo);
        Assert.Equal(HttpStatusCode.NotFound, (await stranger.LookAsync("/operator")).Status);
    }

    [Fact]
    public async Task Guessing_codes_is_slowed_down_and_makes_the_code_void()
    {
        await StartAsync();
        using var guesser = new Browser(host!.Address, "en");
        string token = (await guesser.OpenAsync("/")).FormToken;
        string before = host.Desk.Code;
        var answers = new List<HttpStatusCode>();
        for (int guess = 0; guess < 55; guess++)
        {
            answers.Add((await guesser.PostAsync("/first-start", ("_form", token), ("code", "aaaa-aaaa"))).Status);
        }

        Assert.Equal(HttpStatusCode.OK, answers[0]);
        Assert.Equal(HttpStatusCode.TooManyRequests, answers[^1]);
        Assert.NotEqual(before, host.Desk.Code);
    }

    [Fact]
    public async Task Settings_that_are_there_already_are_never_overwritten()
    {
        using Browser browser = await EnterAsync();
        await PlaceAsync(browser);
        await browser.PressAsync("/first-start/mail", "/first-start/mail", ("act", "files"));
        await browser.PressAsync("/first-start/grower", "/first-start/grower", ("address", "mara@sorrelbank.example"), ("name", "Mara"), ("hour", "05:30"), ("units", "metric"));
        await browser.PressAsync("/first-start/register", "/first-start/register", ("act", "none"));
        await File.WriteAllTextAsync(SettingsPath, "mine", TestContext.Current.CancellationToken);
        Shown refused = await browser.PressAsync("/first-start/finish", "/first-start/finish");
        Assert.Contains("is there already", refused.Plain, StringComparison.Ordinal);
        Assert.Equal("mine", await File.ReadAllTextAsync(SettingsPath, TestContext.Current.CancellationToken));
        Assert.Equal(["graftwatch.toml"], Directory.GetFiles(folder).Select(Path.GetFileName));
    }

    [Theory]
    [InlineData("where", "somewhere", "No position can be read")]
    [InlineData("where", "", "Please fill this in")]
    [InlineData("elevation", "", "Please fill this in")]
    [InlineData("zone", "Mars/Olympus", "no such time zone")]
    [InlineData("place", "", "Please fill this in")]
    public async Task A_place_that_cannot_be_is_refused_beside_its_field(string field, string value, string says)
    {
        using Browser browser = await EnterAsync();
        Dictionary<string, string> fields = new() { ["where"] = "48.02, 9.06", ["elevation"] = "465", ["zone"] = "Europe/Berlin", ["place"] = "Hill" };
        fields[field] = value;
        Shown shown = await browser.PressAsync("/first-start/place", "/first-start/place", [.. fields.Select(pair => (pair.Key, pair.Value))]);
        Assert.Equal(HttpStatusCode.OK, shown.Status);
        Assert.Contains(says, shown.Plain, StringComparison.Ordinal);
    }

    public async ValueTask DisposeAsync()
    {
        if (host is not null)
        {
            await host.DisposeAsync();
        }

        Directory.Delete(folder, recursive: true);
    }

    private static Task<Shown> PlaceAsync(Browser browser) =>
        browser.PressAsync("/first-start/place", "/first-start/place", ("where", "48.02, 9.06"), ("elevation", "465"), ("place", "Sorrel Bank"), ("zone", "Europe/Berlin"));

    private static async Task<Shown> UploadAsync(Browser browser, string csv)
    {
        string token = (await browser.OpenAsync("/first-start/register")).FormToken;
        var file = new StringContent(csv);
        file.Headers.ContentType = new MediaTypeHeaderValue("text/csv");
        var request = new HttpRequestMessage(HttpMethod.Post, "/first-start/register")
        {
            Content = new MultipartFormDataContent { { new StringContent(token), "_form" }, { new StringContent("read"), "act" }, { file, "file", "register.csv" } },
        };
        request.Headers.TryAddWithoutValidation("Sec-Fetch-Site", "same-origin");

        // A file that is refused unread is then not sent, rather than into a line that closes.
        request.Headers.ExpectContinue = true;
        return await browser.SendAsync(request);
    }

    private async Task StartAsync() => host = await FirstStartHost.StartAsync(
        new FirstStartPlan { Folder = folder, Listen = "127.0.0.1:0", Clock = clock, Logging = logging => logging.SetMinimumLevel(LogLevel.None), Tell = _ => { } },
        TestContext.Current.CancellationToken);

    private async Task<Browser> EnterAsync()
    {
        await StartAsync();
        var browser = new Browser(host!.Address, "en");
        Assert.Equal("/first-start/place", (await browser.PressAsync("/?code=" + host.Desk.Code, "/first-start", ("code", host.Desk.Code))).LeadsTo);
        return browser;
    }
}
