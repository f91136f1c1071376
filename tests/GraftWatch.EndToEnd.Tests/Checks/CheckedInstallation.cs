using System.Globalization;
using System.Net;
using System.Security.Cryptography;
using System.Text;
using GraftWatch.Checks;
using GraftWatch.CommandLine;
using GraftWatch.Commands;
using GraftWatch.Records.Inspection;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;
using Microsoft.Extensions.Time.Testing;

namespace GraftWatch.EndToEnd.Tests.Checks;

/// <summary>An installation in which everything is right, until a test spoils one thing; with a mail server and a weather service of its own.</summary>
internal sealed class CheckedInstallation : IAsyncDisposable
{
    private static readonly DateTimeOffset Now = new(2026, 5, 12, 3, 10, 0, TimeSpan.Zero);

    private CheckedInstallation()
    {
        Weather = new PlainHttpServer();
        Daemon = new PlainHttpServer();
        Mail = LoopbackMailServer.Start();
        Clock = new FakeTimeProvider(Now);
        Directory.CreateDirectory(Config);
        File.Copy(Repository.PathOf("src", "GraftWatch", "Demo", "register.csv"), Register);
        Settings = string.Create(
            CultureInfo.InvariantCulture,
            $"""
            data_folder = "data"

            [[place]]
            name = "Sorrel Bank"
            latitude = 48.02
            longitude = 9.06
            elevation = "465 m"
            zone = "Europe/Berlin"

            [[grower]]
            name = "Mara"
            address = "mara@sorrelbank.example"
            letter_hour = "05:30"
            register = "register.csv"

            [mail]
            host = "127.0.0.1"
            port = {Mail.Port}
            security = "plain"
            from = "graftwatch@sorrelbank.example"

            [page]
            listen = "127.0.0.1:{LoopbackMailServer.FreePort()}"

            [weather]
            address = "{Weather.Url}"

            """);
        Surroundings = new CheckSurroundings
        {
            Environment = name => Variables.GetValueOrDefault(name),
            Root = Path.Combine(Folder, "root"),
            TrustedRoots = () => 140,
            Sources = setup => setup with { MetNorwayAddress = new Uri(Weather.Url) },
        };
        Directory.CreateDirectory(Path.Combine(Folder, "root", "etc", "systemd", "system"));
        File.WriteAllText(Path.Combine(Folder, "root", "etc", "systemd", "system", "graftwatch.service"), "[Unit]\n");
    }

    internal string Folder { get; } = Directory.CreateTempSubdirectory("graftwatch-check-").FullName;

    internal string Config => Path.Combine(Folder, "config");

    internal string Data => Path.Combine(Config, "data");

    internal string Store => Path.Combine(Data, "graftwatch.db");

    internal string Register => Path.Combine(Config, "register.csv");

    internal string Settings { get; private set; }

    internal LoopbackMailServer Mail { get; private set; }

    internal PlainHttpServer Weather { get; }

    /// <summary>Stands in for the pages of a running daemon, where a test wants one.</summary>
    internal PlainHttpServer Daemon { get; }

    internal FakeTimeProvider Clock { get; private set; }

    internal Dictionary<string, string> Variables { get; } = new(StringComparer.Ordinal);

    internal CheckSurroundings Surroundings { get; set; }

    internal string Text { get; private set; } = string.Empty;

    internal string Messages { get; private set; } = string.Empty;

    /// <summary>Files before and after the last run, with their hashes; a check leaves everything as it was.</summary>
    internal (string Before, string After) Files { get; private set; }

    internal static CheckedInstallation Make()
    {
        var made = new CheckedInstallation();
        made.WeatherAnswers();
        return made;
    }

    internal void Replace(string old, string replacement)
    {
        Assert.Contains(old, Settings, StringComparison.Ordinal);
        Settings = Settings.Replace(old, replacement, StringComparison.Ordinal);
    }

    internal void Add(string lines) => Settings += lines + "\n";

    internal void SetClock(DateTimeOffset now) => Clock = new FakeTimeProvider(now);

    internal async Task UseMailAsync(LoopbackMailOptions options, string security)
    {
        string before = $"port = {Mail.Port}";
        await Mail.DisposeAsync();
        Mail = LoopbackMailServer.Start(options);
        Replace(before, $"port = {Mail.Port}");
        Replace("security = \"plain\"", $"security = \"{security}\"");
    }

    internal void WeatherAnswers()
    {
        Weather.Date = Clock.GetUtcNow();
        Answer(200, File.ReadAllText(Repository.PathOf("src", "GraftWatch", "Demo", "weather.json")));
    }

    internal void Answer(int status, string body) => Weather.Answer(status, body);

    internal async Task<int> CheckAsync(params string[] only)
    {
        await File.WriteAllTextAsync(Path.Combine(Config, "graftwatch.toml"), Settings, TestContext.Current.CancellationToken);
        return await RunAsync(new CheckWishes(Only: only));
    }

    internal async Task<int> RunAsync(CheckWishes wishes)
    {
        await File.WriteAllTextAsync(Path.Combine(Config, "graftwatch.toml"), Settings, TestContext.Current.CancellationToken);
        using var results = new StringWriter();
        using var messages = new StringWriter();
        string before = Listing();
        int code = await CheckCommand.RunAsync(new Terminal(results, messages, Clock, Folder), wishes, Surroundings, TestContext.Current.CancellationToken);
        Files = (before, Listing());
        Text = results.ToString().ReplaceLineEndings("\n");
        Messages = messages.ToString().ReplaceLineEndings("\n");
        return code;
    }

    internal static DiskFacts Disk(string kind = "ext4", long free = 1L << 40) => new(_ => kind, _ => free);

    public async ValueTask DisposeAsync()
    {
        await Mail.DisposeAsync();
        Weather.Dispose();
        Daemon.Dispose();
        Directory.Delete(Folder, recursive: true);
    }

    internal static Task<IPAddress[]> NoName(string host, CancellationToken cancellationToken) =>
        throw new System.Net.Sockets.SocketException((int)System.Net.Sockets.SocketError.HostNotFound);

    private string Listing()
    {
        var text = new StringBuilder();
        foreach (string path in Directory.EnumerateFileSystemEntries(Folder, "*", SearchOption.AllDirectories).Order(StringComparer.Ordinal))
        {
            string hash = string.Empty;
            if (File.Exists(path) && !path.EndsWith(".lock", StringComparison.Ordinal))
            {
                hash = Convert.ToHexString(SHA256.HashData(File.ReadAllBytes(path)));
            }

            text.Append(path).Append(' ').Append(hash).Append('\n');
        }

        return text.ToString();
    }
}
