using System.Collections.Concurrent;
using System.Globalization;
using System.Net;
using System.Security.Cryptography.X509Certificates;
using GraftWatch.Testing;
using GraftWatch.Testing.FakeForecastApi;
using GraftWatch.Testing.Mail;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Packaging.Tests;

/// <summary>A settings folder whose letter is due at once, a mail server that insists on STARTTLS and sign-in, and a weather service behind HTTPS, each with a certificate of a test authority.</summary>
internal sealed class Morning : IAsyncDisposable
{
    private const string Password = "quince and medlar";
    private readonly FakeForecastServer weather;
    private readonly WebApplication front;
    private readonly X509Certificate2 certificate;

    private Morning(FakeForecastServer weather, WebApplication front, X509Certificate2 certificate, LoopbackMailServer mail, ConcurrentQueue<(string Path, string Body)> posted)
    {
        Posted = posted;
        this.weather = weather;
        this.front = front;
        this.certificate = certificate;
        Mail = mail;
    }

    internal string Folder { get; } = Directory.CreateTempSubdirectory("graftwatch-packaging-").FullName;

    internal LoopbackMailServer Mail { get; }

    internal int ForecastRequests => weather.Requests;

    /// <summary>Address of the HTTPS server that stands for the weather service and for whatever takes posts.</summary>
    internal string Site => front.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!.Addresses.First().Replace("127.0.0.1", "localhost", StringComparison.Ordinal);

    /// <summary>What was posted or put there: path and body.</summary>
    internal ConcurrentQueue<(string Path, string Body)> Posted { get; }

    /// <summary>File of the authority both servers' certificates hang on.</summary>
    internal string Authority => Path.Combine(Folder, "authority.pem");

    /// <summary>What the program needs from its surroundings.</summary>
    internal Dictionary<string, string?> Surroundings => new() { ["SSL_CERT_FILE"] = Authority, ["GRAFTWATCH_MAIL_PASSWORD"] = Password };

    internal static string MailPassword => Password;

    internal static async Task<Morning> StartAsync(int grafts = 0)
    {
        X509Certificate2 certificate = LoopbackMailServer.MakeCertificate();
        var mail = LoopbackMailServer.Start(new LoopbackMailOptions { Certificate = certificate, Password = Password });
        FakeForecastServer weather = await FakeForecastServer.StartAsync(SystemClock.Instance.GetCurrentInstant(), TestContext.Current.CancellationToken);
        var posted = new ConcurrentQueue<(string Path, string Body)>();
        WebApplication front = await FrontAsync(weather.Url, certificate, posted);
        var morning = new Morning(weather, front, certificate, mail, posted);
        await File.WriteAllTextAsync(morning.Authority, certificate.ExportCertificatePem() + "\n");
        morning.Write(grafts);
        return morning;
    }

    /// <summary>The settings, with the letter due a minute ago.</summary>
    internal string Settings(string data, string extra = "", string grower = "")
    {
        (string zone, string hour) = ZoneWhereItIsMorning();
        return string.Create(
            CultureInfo.InvariantCulture,
            $"""
            data_folder = "{data}"

            [[place]]
            name = "Sorrel Bank"
            latitude = 48.02
            longitude = 9.06
            elevation = "465 m"
            zone = "{zone}"

            [[grower]]
            name = "Mara"
            address = "mara@sorrelbank.example"
            letter_hour = "{hour}"
            register = "register.csv"
            {grower}

            [mail]
            host = "localhost"
            port = {Mail.Port}
            security = "starttls"
            from = "graftwatch@sorrelbank.example"
            user = "letters"

            [weather]
            address = "{Site}"
            {extra}

            """);
    }

    /// <summary>The register of the demonstration, or so many grafts made from it.</summary>
    internal static string Register(int grafts)
    {
        string[] lines = File.ReadAllLines(Repository.PathOf("src", "GraftWatch", "Demo", "register.csv"));
        string[] rows = [.. lines.Skip(1).Where(line => line.Length > 0)];
        return grafts == 0
            ? string.Join('\n', lines) + "\n"
            : lines[0] + "\n" + string.Concat(Enumerable.Range(0, grafts).Select(i => $"X{i:D4}{rows[i % rows.Length][rows[i % rows.Length].IndexOf(',', StringComparison.Ordinal)..]}\n"));
    }

    internal void Write(int grafts = 0, string extra = "", string grower = "")
    {
        File.WriteAllText(Path.Combine(Folder, "graftwatch.toml"), Settings("data", extra, grower));
        File.WriteAllText(Path.Combine(Folder, "register.csv"), Register(grafts));
    }

    /// <summary>Waits for a letter and gives it.</summary>
    internal async Task<ReceivedLetter> LetterAsync(int number, Func<string> log)
    {
        var waited = System.Diagnostics.Stopwatch.StartNew();
        while (Mail.Received.Count < number)
        {
            Assert.True(waited.Elapsed < TimeSpan.FromSeconds(75), "No letter came. The log says:\n" + log());
            await Task.Delay(50, TestContext.Current.CancellationToken);
        }

        return Mail.Received.ElementAt(number - 1);
    }

    public async ValueTask DisposeAsync()
    {
        await Mail.DisposeAsync();
        await front.DisposeAsync();
        await weather.DisposeAsync();
        certificate.Dispose();
        Directory.Delete(Folder, recursive: true);
    }

    // A letter belongs to a morning, and the real clock cannot be moved: so the place lies where it is about eight.
    private static (string Zone, string Hour) ZoneWhereItIsMorning()
    {
        DateTime now = DateTime.UtcNow;
        int ahead = ((8 - now.Hour + 36) % 24) - 12;
        DateTime due = now.AddHours(ahead).AddMinutes(-1);
        return (ahead == 0 ? "Etc/GMT" : $"Etc/GMT{(ahead > 0 ? "-" : "+")}{Math.Abs(ahead)}", due.ToString("HH:mm", CultureInfo.InvariantCulture));
    }

    private static async Task<WebApplication> FrontAsync(Uri behind, X509Certificate2 certificate, ConcurrentQueue<(string Path, string Body)> posted)
    {
        WebApplicationBuilder builder = WebApplication.CreateSlimBuilder();
        builder.Logging.ClearProviders();
        builder.WebHost.UseKestrelHttpsConfiguration().ConfigureKestrel(kestrel => kestrel.Listen(IPAddress.Loopback, 0, listen => listen.UseHttps(certificate)));
        WebApplication app = builder.Build();
        var client = new HttpClient();
        app.Run(async context =>
        {
            if (!HttpMethods.IsGet(context.Request.Method))
            {
                using var reader = new StreamReader(context.Request.Body);
                posted.Enqueue((context.Request.Path, await reader.ReadToEndAsync(context.RequestAborted)));
                context.Response.ContentType = "application/json";
                await context.Response.WriteAsync("""{"event_id":"$loopback"}""", context.RequestAborted);
                return;
            }

            using HttpResponseMessage answer = await client.GetAsync(new Uri(behind, context.Request.Path + context.Request.QueryString), context.RequestAborted);
            context.Response.StatusCode = (int)answer.StatusCode;
            context.Response.ContentType = answer.Content.Headers.ContentType?.ToString();
            foreach (string encoding in answer.Content.Headers.ContentEncoding)
            {
                context.Response.Headers.ContentEncoding = encoding;
            }

            await answer.Content.CopyToAsync(context.Response.Body, context.RequestAborted);
        });
        await app.StartAsync();
        return app;
    }
}
