using System.Diagnostics;
using System.Net;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using GraftWatch.Testing;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed class OperatorStateTests
{
    [Fact]
    public async Task The_state_tells_looks_next_letters_store_and_how_letters_leave()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        string page = (await runs.OpenAsync("/operator")).Plain.Replace('\u00A0', ' ');
        Assert.Contains("by the mail server 127.0.0.1", page, StringComparison.Ordinal);
        Assert.Contains("Tue 12 May, 05:30, to Mara", page, StringComparison.Ordinal);
        Assert.Contains("graftwatch.db", page, StringComparison.Ordinal);
        Assert.Contains("GiB", page, StringComparison.Ordinal);
        Assert.Contains("Betrieb", (await (await site.SignInAsync(SiteHarness.Operator, "de")).OpenAsync("/operator")).Plain, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_check_runs_beside_the_daemon_and_its_lines_come_onto_the_page()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        Assert.Equal("/operator?said=check-began", (await runs.PressAsync("/operator", "/operator/check")).LeadsTo);
        Shown shown = await runs.OpenAsync("/operator");
        for (int look = 0; look < 300 && !shown.Plain.Contains("Checked on", StringComparison.Ordinal); look++)
        {
            await Task.Delay(100, TestContext.Current.CancellationToken);
            shown = await runs.OpenAsync("/operator");
        }

        Assert.Contains("Checked on", shown.Plain, StringComparison.Ordinal);
        Assert.Contains($"127.0.0.1:{site.Mail.Port} answers", shown.Plain, StringComparison.Ordinal);
        Assert.Contains("store", shown.Plain, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_weather_page_tells_places_services_and_requests()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        await site.WaitAsync(() => site.Store.History.LoadAsync("Sorrel Bank", site.Now, default).GetAwaiter().GetResult() is not null, "the first weather");
        string page = (await runs.OpenAsync("/operator/weather")).Plain.Replace('\u00A0', ' ');
        Assert.Contains("Sorrel Bank", page, StringComparison.Ordinal);
        Assert.Contains("465 m", page, StringComparison.Ordinal);
        Assert.Contains("open-meteo", page, StringComparison.Ordinal);
        Assert.Matches(@"[1-9]\d*\s+Tue 12 May, 03:00", System.Text.RegularExpressions.Regex.Replace(page, @"\s+", " "));
    }

    [Fact]
    public async Task A_place_without_weather_stands_above_the_list_with_the_words_of_its_source()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser runs = await site.SignInAsync(SiteHarness.Operator, "de");
        await site.WaitAsync(() => site.Services.GetRequiredService<ServeState>().Report().LastWeather is not null, "the first weather");
        Shown well = await runs.OpenAsync("/operator/weather");
        Assert.DoesNotContain("class=\"amiss\"", well.Text, StringComparison.Ordinal);
        var spot = new Aftercare.Grafts.Place("<i>Hollow</i> Field", new Microclimate.Sites.Site { LatitudeDeg = 48, LongitudeDeg = 9, ElevationM = 400 }, DateTimeZoneProviders.Tzdb["Europe/Berlin"]);
        site.Services.GetRequiredService<ServeState>().Weather([new PlaceWeather(spot, null, new ForecastInfo("none", string.Empty, null, site.Now, site.Now, []), "the source rests & says nothing")], site.Now);
        Shown amiss = await runs.OpenAsync("/operator/weather");
        Assert.Contains("Ein Ort ist ohne Wetter.", amiss.Plain, StringComparison.Ordinal);
        Assert.Contains("<li>&lt;i&gt;Hollow&lt;/i&gt; Field: <span lang=\"en\">the source rests &amp; says nothing</span>", amiss.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Settings_are_shown_part_by_part_and_a_refused_edit_with_every_fault()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        Assert.Contains("The files are right and in force", (await runs.OpenAsync("/operator/settings")).Plain, StringComparison.Ordinal);
        Assert.Contains("graftwatch@sorrelbank.example", (await runs.OpenAsync("/operator/settings?part=mail")).Plain, StringComparison.Ordinal);
        Assert.Contains("thresholds.toml (shipped):", (await runs.OpenAsync("/operator/settings?part=thresholds")).Plain, StringComparison.Ordinal);
        Assert.Equal(HttpStatusCode.OK, (await runs.OpenAsync("/operator/settings?part=%3Cscript%3E")).Status);
        await File.AppendAllTextAsync(Path.Combine(site.Folder, "graftwatch.toml"), "\n[mial]\nhost = 1,5\n<b> = 2\n", TestContext.Current.CancellationToken);
        SettingsInForce settings = site.Services.GetRequiredService<SettingsInForce>();
        settings.Look(site.Now);
        settings.Look(site.Now + Duration.FromSeconds(3));
        Shown refused = await runs.OpenAsync("/operator/settings");
        Assert.Contains("An edit was refused", refused.Plain, StringComparison.Ordinal);
        Assert.Contains("graftwatch.toml:", refused.Plain, StringComparison.Ordinal);
        Assert.DoesNotContain("<b>", refused.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Every_page_of_the_operator_is_small_and_fast_with_a_thousand_growers_ten_thousand_grafts_and_two_thousand_letters()
    {
        await using SiteHarness site = await SiteHarness.StartAsync();
        DateTimeZone zone = DateTimeZoneProviders.Tzdb["Europe/Berlin"];
        await Task.WhenAll(Enumerable.Range(1, 1000).Select(number => site.Store.Book.SaveGrowerAsync(
            new Grower($"Grower {number:0000}", $"grower{number:0000}@sorrelbank.example", zone, new LocalTime(6, 0), UnitSystem.Metric, ["Sorrel Bank"]), default)));
        Aftercare.Grafts.Graft like = GrowerRig.Read(await File.ReadAllTextAsync(Repository.PathOf("src", "GraftWatch", "Demo", "register.csv"), TestContext.Current.CancellationToken))[0];
        await Task.WhenAll(Enumerable.Range(1, 1000).Select(number => site.Store.Keeper.ReplaceGraftsAsync($"Grower {number:0000}", [.. Enumerable.Range(0, 10).Select(index => like with { Label = $"G{index}" })], default)));

        byte[] bytes = new byte[30_000];
        Array.Fill(bytes, (byte)'x');
        await Task.WhenAll(Enumerable.Range(1, 1000).SelectMany(number => Enumerable.Range(0, 2).Select(day => SealAsync(site, $"Grower {number:0000}", day, bytes))));

        foreach (string grower in (string[])["Grower 0001", "Grower 0500", "Grower 1000"])
        {
            Assert.Equal(10, (await site.Store.Register.LoadGraftsAsync(grower, default)).Count);
        }

        Assert.Equal(2000, (await site.Store.Shelf.LoadAsync(new ShelfWish(), 3000, default)).Count(letter => letter.Entry.Letter.Slot.Grower.StartsWith("Grower ", StringComparison.Ordinal)));

        using Browser runs = await site.SignInAsync(SiteHarness.Operator);
        ShelvedLetter newest = (await site.Store.Shelf.LoadAsync(new ShelfWish(), 1, default))[0];
        string[] paths =
        [
            "/operator", "/operator/growers", "/operator/growers?page=12", "/operator/growers/one?name=Grower%200500", "/operator/growers/new", "/operator/letters", "/operator/letters?state=handed-over",
            "/operator/letters?state=waiting", "/operator/letters?state=too-late", $"/operator/letters/{newest.Id}", "/operator/weather", "/operator/settings", "/operator/settings?part=thresholds", "/operator/settings?part=species",
        ];
        foreach (string path in paths)
        {
            await runs.OpenAsync(path);
            double best = double.MaxValue;
            // The best of several: what else the machine does meanwhile is not the page's time.
            for (int run = 0; run < 20 && (run < 3 || best >= 100); run++)
            {
                var taken = Stopwatch.StartNew();
                Shown shown = await runs.OpenAsync(path);
                best = Math.Min(best, taken.Elapsed.TotalMilliseconds);
                Assert.Equal(HttpStatusCode.OK, shown.Status);
                Assert.True(System.Text.Encoding.UTF8.GetByteCount(shown.Text) < 50 * 1024, $"{path}: {shown.Text.Length} characters");
            }

            TestContext.Current.TestOutputHelper?.WriteLine($"{path}: {best:0.0} ms");
            Assert.True(best < 100, $"{path}: {best:0.0} ms");
        }
    }

    private static async Task SealAsync(SiteHarness site, string grower, int day, byte[] bytes)
    {
        var slot = new LetterSlot(grower, new LocalDate(2026, 4, 1).PlusDays(day), LetterKind.Morning);
        var letter = new SealedLetter(slot, day + 1, $"{grower.Replace(' ', '.')}.{day}@letters.example", "x@sorrelbank.example", "Shade 7 unions before 11:00, stake 3", bytes, site.Now);
        if (await site.Store.Ledger.SealAsync(letter, default))
        {
            await site.Store.Ledger.RecordTryAsync(slot, DeliveryResult.Accepted("250 taken"), site.Now, default);
        }
    }
}
