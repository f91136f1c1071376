using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using GraftWatch.Records.Backups;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;

namespace GraftWatch.EndToEnd.Tests.Checks;

/// <summary>The program itself, started on a machine on which something is wrong: a sentence, the right exit code, no stack trace, nothing lost.</summary>
public sealed class StartFaultTests : IDisposable
{
    private static readonly string Exe = Path.Combine(AppContext.BaseDirectory, "graftwatch");
    private readonly string folder = Directory.CreateTempSubdirectory("graftwatch-start-").FullName;
    private readonly List<string> mounts = [];

    public StartFaultTests()
    {
        File.Copy(Repository.PathOf("src", "GraftWatch", "Demo", "register.csv"), Path.Combine(folder, "register.csv"));
        Write("data");
    }

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    private static bool MayMount => OperatingSystem.IsLinux() && Environment.IsPrivilegedProcess;

    public void Dispose()
    {
        foreach (string mount in mounts)
        {
            Shell.Run("umount", mount);
        }

        Directory.Delete(folder, recursive: true);
    }

    [Fact]
    public async Task A_full_disk_is_told_at_the_start()
    {
        Assert.SkipUnless(MayMount, "Needs Linux and the superuser, who may mount a small disk.");
        string disk = Mount("size=200k");
        Write(disk);
        await File.WriteAllBytesAsync(Path.Combine(disk, "other"), new byte[180 * 1024], Stop);
        Ended serve = await RunAsync([], "serve", "--listen", "off");
        AssertSentence(serve, 1, "There is no room for the store at", "Free some disk space");
    }

    [Fact]
    public async Task A_disk_mounted_read_only_is_told_at_the_start()
    {
        Assert.SkipUnless(MayMount, "Needs Linux and the superuser, who may mount a disk.");
        string disk = Mount("ro");
        Write(disk);
        Ended serve = await RunAsync([], "serve", "--listen", "off");
        AssertSentence(serve, 1, "graftwatch.db.lock cannot be written (Read-only file system", "mounted read-only");
    }

    [Fact]
    public async Task A_data_folder_of_another_owner_is_told_at_the_start_and_by_check()
    {
        string[] nobody = Nobody();
        Directory.CreateDirectory(Path.Combine(folder, "data"));
        Shell.Run("chmod", "755", folder);
        AssertSentence(await RunAsync(nobody, "serve", "--listen", "off"), 1, "graftwatch.db.lock", "cannot be written", "belongs to the user GraftWatch runs as");
        Ended check = await RunAsync(nobody, "check", "--only", "store");
        Assert.Equal(1, check.Code);
        Assert.Matches("store +failed data_folder: The folder .*/data, which belongs to root, cannot be written. Give it to the user", check.Results);
    }

    [Fact]
    public async Task A_settings_folder_that_cannot_be_read_is_told()
    {
        string[] nobody = Nobody();
        Shell.Run("chmod", "755", folder);
        Shell.Run("chmod", "600", Path.Combine(folder, "graftwatch.toml"));
        AssertSentence(await RunAsync(nobody, "serve", "--listen", "off"), 2, "graftwatch.toml", "may not be read by this user");
    }

    [Fact]
    public async Task A_port_that_is_taken_is_told_with_its_setting()
    {
        using var other = new TcpListener(IPAddress.Loopback, 0);
        other.Start();
        int port = ((IPEndPoint)other.LocalEndpoint).Port;
        Ended serve = await RunAsync([], "serve", "--listen", string.Create(CultureInfo.InvariantCulture, $"127.0.0.1:{port}"));
        AssertSentence(serve, 1, string.Create(CultureInfo.InvariantCulture, $"127.0.0.1:{port}"), "is taken by another program", "page.listen");
    }

    [Fact]
    public async Task A_second_daemon_on_one_store_is_told_whose_process_the_first_is_and_the_first_goes_on()
    {
        using Process first = Start([], "serve", "--listen", "off");
        try
        {
            string store = Path.Combine(folder, "data", "graftwatch.db");
            var waited = Stopwatch.StartNew();
            while (StoreLock.HolderOf(store) is not { Length: > 0 })
            {
                Assert.InRange(waited.Elapsed.TotalSeconds, 0, 30);
                await Task.Delay(50, Stop);
            }

            Ended second = await RunAsync([], "serve", "--listen", "off");
            AssertSentence(second, 1, string.Create(CultureInfo.InvariantCulture, $"(process {first.Id})"), "Stop it first");
            Assert.False(first.HasExited);
        }
        finally
        {
            first.Kill();
            await first.WaitForExitAsync(Stop);
        }
    }

    [Fact]
    public async Task A_data_folder_below_a_file_is_told()
    {
        await File.WriteAllTextAsync(Path.Combine(folder, "file"), "x", Stop);
        Write("file/data");
        AssertSentence(await RunAsync([], "serve", "--listen", "off"), 1, "file/data/graftwatch.db");
    }

    [Fact]
    public async Task Without_zone_data_and_fonts_of_the_machine_the_letter_is_the_same_to_the_byte()
    {
        Assert.SkipUnless(MayMount && Unshares(), "Needs Linux, the superuser and unshare, to hide the machine's files from one process.");
        Ended usual = await RunAsync([], "demo");
        string letter = Path.Combine(folder, "usual.eml");
        File.Move(Assert.Single(Directory.GetFiles(folder, "*.eml")), letter);
        const string Hide = "for f in /usr/share/zoneinfo /usr/share/fonts /etc/fonts; do [ -d $f ] && mount -t tmpfs tmpfs $f; done; exec \"$@\"";
        Ended bare = await RunAsync(["unshare", "-m", "sh", "-c", Hide, "sh"], "demo");
        Assert.Equal((0, 0), (usual.Code, bare.Code));
        Assert.Equal(usual.Results, bare.Results);
        string again = Assert.Single(Directory.GetFiles(folder, "*.eml"), file => file != letter);
        Assert.Equal(await File.ReadAllBytesAsync(letter, Stop), await File.ReadAllBytesAsync(again, Stop));
        Ended check = await RunAsync(["unshare", "-m", "sh", "-c", Hide, "sh"], "check", "--only", "zones", "--only", "picture");
        Assert.Equal(0, check.Code);
        Assert.Contains("this machine has no zone data of its own for it; letters do not need them", check.Results, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Without_a_bundle_of_authorities_check_says_so_and_serve_runs_all_the_same()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Only there the two variables name the bundle.");
        string[] bare = ["env", "SSL_CERT_FILE=/nowhere", "SSL_CERT_DIR=/nowhere"];
        Ended check = await RunAsync(bare, "check", "--only", "trust");
        Assert.Equal(1, check.Code);
        Assert.Matches("trust +failed This machine trusts no certificate authority.*ca-certificates", check.Results);
        using Process serve = Start(bare, "serve", "--listen", "off");
        Task<string> messages = serve.StandardError.ReadToEndAsync(Stop);
        await Task.Delay(TimeSpan.FromSeconds(3), Stop);
        Assert.False(serve.HasExited);
        serve.Kill();
        Assert.Contains("Serving. Growers: 1.", await messages, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("Nowhere/Never")]
    [InlineData("Pacific/Kiritimati")]
    public async Task The_zone_of_the_machine_changes_nothing(string zone)
    {
        Ended usual = await RunAsync(["env", "TZ=UTC"], "demo");
        Ended other = await RunAsync(["env", "TZ=" + zone], "demo");
        Assert.Equal((0, usual.Results), (other.Code, other.Results));
    }

    private static void AssertSentence(Ended ended, int code, params string[] words)
    {
        Assert.True(ended.Code == code, $"ended with {ended.Code}: {ended.Messages}");
        Assert.All(words, word => Assert.Contains(word, ended.Messages, StringComparison.Ordinal));
        Assert.DoesNotMatch(@"(?m)^ *at |Exception", ended.Messages);
        Assert.InRange(ended.Messages.Trim().Split('\n').Length, 1, 3);
    }

    private static string[] Nobody()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux() && Environment.IsPrivilegedProcess && File.Exists("/usr/bin/setpriv"), "Needs Linux, the superuser, and setpriv of util-linux to become somebody else.");
        string[] nobody = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"];
        using Process probe = Process.Start(new ProcessStartInfo(nobody[0], [.. nobody[1..], "test", "-x", Exe]))!;
        probe.WaitForExit();
        Assert.SkipUnless(probe.ExitCode == 0, "Others than the superuser cannot reach the program in this checkout.");
        return [.. nobody, "env", "HOME=/tmp", "DOTNET_CLI_HOME=/tmp"];
    }

    private static bool Unshares()
    {
        using Process probe = Process.Start(new ProcessStartInfo("unshare", ["-m", "true"]) { RedirectStandardError = true })!;
        probe.WaitForExit();
        return probe.ExitCode == 0;
    }

    private string Mount(string options)
    {
        string disk = Directory.CreateDirectory(Path.Combine(folder, "disk")).FullName;
        Shell.Run("mount", "-t", "tmpfs", "-o", options, "tmpfs", disk);
        mounts.Add(disk);
        return disk;
    }

    private Process Start(string[] before, params string[] arguments)
    {
        string[] line = [.. before, Exe, .. arguments, .. arguments[0] == "demo" ? Array.Empty<string>() : ["--config", folder], .. arguments[0] == "serve" ? ["--watch", "off"] : Array.Empty<string>()];
        return Process.Start(new ProcessStartInfo(line[0], line[1..]) { WorkingDirectory = folder, RedirectStandardError = true, RedirectStandardOutput = true })!;
    }

    private async Task<Ended> RunAsync(string[] before, params string[] arguments)
    {
        using Process process = Start(before, arguments);
        Task<string> results = process.StandardOutput.ReadToEndAsync(Stop), messages = process.StandardError.ReadToEndAsync(Stop);
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(Stop);
        limit.CancelAfter(TimeSpan.FromSeconds(60));
        try
        {
            await process.WaitForExitAsync(limit.Token);
        }
        catch (OperationCanceledException) when (!Stop.IsCancellationRequested)
        {
            process.Kill(entireProcessTree: true);
            Assert.Fail("The program went on: " + await messages);
        }

        return new Ended(process.ExitCode, await results, await messages);
    }

    private void Write(string data) => File.WriteAllText(
        Path.Combine(folder, "graftwatch.toml"),
        string.Create(
            CultureInfo.InvariantCulture,
            $"""
            data_folder = "{data}"

            [[place]]
            name = "Sorrel Bank"
            latitude = 48.02
            longitude = 9.06
            elevation = "465 m"
            zone = "Europe/Berlin"

            [[grower]]
            name = "Mara"
            address = "mara@sorrelbank.example"
            register = "register.csv"

            [weather]
            address = "http://127.0.0.1:{LoopbackMailServer.FreePort()}"
            """));

    private sealed record Ended(int Code, string Results, string Messages);
}
