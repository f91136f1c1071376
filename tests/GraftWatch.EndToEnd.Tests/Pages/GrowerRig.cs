using System.Net;
using System.Net.Http.Headers;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Register;
using GraftWatch.Rounds.Ports;
using GraftWatch.Settings;
using GraftWatch.Testing;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Pages;

/// <summary>The daemon with a grower whose grafts live in the store, signed in.</summary>
internal sealed class GrowerRig : IAsyncDisposable
{
    internal const string Name = "Jonas Reed";
    internal const string Address = "jonas@larkhollow.example";
    private const string Place = "Sorrel Bank";

    private GrowerRig(SiteHarness site, Browser browser)
    {
        Site = site;
        Browser = browser;
    }

    internal SiteHarness Site { get; }

    internal Browser Browser { get; }

    /// <summary>Starts the daemon with the demonstration's register, or another, in the store.</summary>
    internal static async Task<GrowerRig> StartAsync(
        string? csv = null, UnitSystem units = UnitSystem.Metric, string language = "en", string page = "subscriptions = true", string start = "2026-05-12T05:00:00Z")
    {
        SiteHarness site = await SiteHarness.StartAsync(page, start);
        await AddGrowerAsync(site, Name, Address, units);
        await site.Store.Keeper.ReplaceGraftsAsync(Name, Read(csv ?? await File.ReadAllTextAsync(Repository.PathOf("src", "GraftWatch", "Demo", "register.csv"))), default);
        return new GrowerRig(site, await site.SignInAsync(Address, language));
    }

    /// <summary>Another grower of the store.</summary>
    internal static Task AddGrowerAsync(SiteHarness site, string name, string address, UnitSystem units = UnitSystem.Metric) =>
        site.Store.Book.SaveGrowerAsync(new Grower(name, address, DateTimeZoneProviders.Tzdb["Europe/Berlin"], new LocalTime(5, 30), units, [Place]), default);

    /// <summary>A register's grafts.</summary>
    internal static IReadOnlyList<Graft> Read(string csv)
    {
        RegisterReading reading = RegisterCsv.Parse(csv, SettingsLoader.LoadHandbook(folder: null).Value!, new LocalDate(2026, 5, 12), new RegisterContext { DefaultPlace = Place });
        Assert.True(reading.IsValid, string.Join('\n', reading.Faults));
        return reading.Grafts;
    }

    /// <summary>The grower's grafts as the store has them.</summary>
    internal Task<IReadOnlyList<Graft>> GraftsAsync() => Site.Store.Register.LoadGraftsAsync(Name, default);

    /// <summary>The grower's notes.</summary>
    internal Task<IReadOnlyList<NotedObservation>> NotesAsync() => Site.Store.Keeper.LoadNotesAsync(Name, default);

    /// <summary>Sends a file as a browser would.</summary>
    internal async Task<Shown> UploadAsync(byte[] file, bool replaces = false, string name = "register.csv")
    {
        Shown page = await Browser.OpenAsync("/grafts/upload");
        using var form = new MultipartFormDataContent { { new StringContent(page.FormToken), "_form" } };
        if (replaces)
        {
            form.Add(new StringContent("on"), "replaces");
        }

        var content = new ByteArrayContent(file);
        content.Headers.ContentType = new MediaTypeHeaderValue("text/csv");
        form.Add(content, "file", name);
        var request = new HttpRequestMessage(HttpMethod.Post, "/grafts/upload") { Content = form };
        request.Headers.TryAddWithoutValidation("Sec-Fetch-Site", "same-origin");
        return await Browser.SendAsync(request);
    }

    internal Task<Shown> UploadAsync(string csv, bool replaces = false) => UploadAsync(Encoding.UTF8.GetBytes(csv), replaces);

    /// <summary>Presses a button and follows to the page that comes.</summary>
    internal async Task<Shown> PressAsync(string onPage, string path, params (string Name, string Value)[] fields)
    {
        Shown answer = await Browser.PressAsync(onPage, path, fields);
        string[] faults = [.. System.Text.RegularExpressions.Regex.Matches(answer.Text, "<p class=\"(?:fault|alarm)\"[^>]*>([^<]*)").Select(match => match.Groups[1].Value)];
        Assert.True(answer.Status == HttpStatusCode.SeeOther, $"{answer.Status}: {string.Join("; ", faults)}");
        return await Browser.OpenAsync(answer.LeadsTo!);
    }

    public async ValueTask DisposeAsync()
    {
        Browser.Dispose();
        await Site.DisposeAsync();
    }
}
