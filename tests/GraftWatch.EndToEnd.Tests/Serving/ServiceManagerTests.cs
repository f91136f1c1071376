using System.Diagnostics;
using System.Net.Sockets;
using System.Text;
using GraftWatch.Testing;

namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>What the program tells a service manager, read from the socket the manager would open (sd_notify(3), sd_watchdog_enabled(3)).</summary>
public sealed class ServiceManagerTests : IDisposable
{
    private static readonly TimeSpan Limit = TimeSpan.FromSeconds(60);
    private readonly string folder = Directory.CreateTempSubdirectory("graftwatch-notify-").FullName;
    private readonly Socket socket = new(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
    private readonly List<string> messages = [];

    public ServiceManagerTests()
    {
        File.Copy(Repository.PathOf("src", "GraftWatch", "Demo", "register.csv"), Path.Combine(folder, "register.csv"));
        File.WriteAllText(
            Path.Combine(folder, "graftwatch.toml"),
            """
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

            [weather]
            address = "http://127.0.0.1:9"
            """);
    }

    public void Dispose()
    {
        socket.Dispose();
        Directory.Delete(folder, recursive: true);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task It_is_ready_after_the_first_look_says_the_next_letter_gives_signs_of_life_and_takes_leave(bool isAbstract)
    {
        await using ServeProcess serve = Serve(isAbstract);
        await SaysAsync(serve, "READY=1");
        string ready = messages.Single(message => message.StartsWith("READY=1", StringComparison.Ordinal));
        Assert.Matches(@"^READY=1\nSTATUS=Next letter: Mara, \w{3} \d+ \w{3} 05:30 Europe/Berlin\.", ready);
        Assert.True(messages.IndexOf(ready) > messages.FindIndex(message => message.StartsWith("EXTEND_TIMEOUT_USEC=", StringComparison.Ordinal)), "Patience was not asked for before.");
        await SaysAsync(serve, "WATCHDOG=1");
        await SaysAsync(serve, "Amiss: no weather for Sorrel Bank");
        Assert.Equal(0, await serve.EndAsync());
        Drain();
        Assert.Contains("STOPPING=1", messages);
    }

    [Fact]
    public async Task A_frozen_program_gives_no_sign_of_life()
    {
        await using ServeProcess serve = Serve(isAbstract: false);
        await SaysAsync(serve, "WATCHDOG=1");
        serve.Freeze();
        await Task.Delay(500, TestContext.Current.CancellationToken);
        Drain();
        messages.Clear();
        await Task.Delay(TimeSpan.FromSeconds(4), TestContext.Current.CancellationToken);
        Drain();
        Assert.Empty(messages);
    }

    private ServeProcess Serve(bool isAbstract)
    {
        string name = isAbstract ? "@graftwatch-" + Guid.NewGuid() : Path.Combine(folder, "notify");
        socket.Bind(new UnixDomainSocketEndPoint(isAbstract ? "\0" + name[1..] : name));
        return ServeProcess.Start(folder, environment: new Dictionary<string, string?> { ["NOTIFY_SOCKET"] = name, ["WATCHDOG_USEC"] = "3000000" });
    }

    private async Task SaysAsync(ServeProcess serve, string words)
    {
        var waited = Stopwatch.StartNew();
        while (!messages.Any(message => message.Contains(words, StringComparison.Ordinal)))
        {
            Assert.True(waited.Elapsed < Limit && !serve.HasEnded, $"Never said {words}, but {string.Join(" | ", messages)}\n{serve.AllLog}");
            Drain();
            await Task.Delay(20, TestContext.Current.CancellationToken);
        }
    }

    private void Drain()
    {
        byte[] bytes = new byte[4096];
        while (socket.Poll(0, SelectMode.SelectRead))
        {
            messages.Add(Encoding.UTF8.GetString(bytes, 0, socket.Receive(bytes)));
        }
    }
}
