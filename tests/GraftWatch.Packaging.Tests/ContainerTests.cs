using System.Formats.Tar;
using System.Text.Json;
using GraftWatch.Testing.Mail;

namespace GraftWatch.Packaging.Tests;

/// <summary>The container image: what its archive says, and its file system run read only, as its user, in namespaces of its own.</summary>
/// <remarks>Without an engine: <see cref="EngineTests"/> has one, where the machine has. What one does with networks and the health check's timing is not tried.</remarks>
[Collection("machines")]
public sealed class ContainerTests
{
    private const string Run =
        """
        set -e
        root=$1
        mount --bind "$root" "$root"
        mount --bind "$2" "$root/etc/graftwatch"
        mount --bind "$3" "$root/var/lib/graftwatch"
        mount -t tmpfs -o size=64m,mode=1777 tmpfs "$root/tmp"
        # As every engine does; the runtime takes its random numbers from /dev.
        mount -t proc proc "$root/proc"
        mount --bind /dev "$root/dev"
        mount -o remount,bind,ro "$root/etc/graftwatch"
        mount -o remount,bind,ro "$root"
        shift 3
        exec env -i "$@"
        """;

    private static string ArchiveOrSkip() => Dist.OrSkip(Dist.PathOf($"graftwatch-{Dist.Version}-container-{Dist.DebianArchitecture}.tar"));

    [Fact]
    public void It_runs_as_its_own_user_asks_itself_whether_it_lives_and_is_small()
    {
        string archive = ArchiveOrSkip();
        Assert.InRange(new FileInfo(archive).Length, 10_000_000, 60_000_000);
        using JsonDocument image = Image(archive, out string[] layers);
        JsonElement config = image.RootElement.GetProperty("config");
        Assert.Equal("1654:1654", config.GetProperty("User").GetString());
        Assert.Equal(["CMD", "/usr/bin/graftwatch", "live", "http://127.0.0.1:8620"], config.GetProperty("Healthcheck").GetProperty("Test").EnumerateArray().Select(word => word.GetString()));
        Assert.Equal(["/usr/bin/graftwatch"], config.GetProperty("Entrypoint").EnumerateArray().Select(word => word.GetString()));
        Assert.True(config.GetProperty("Volumes").TryGetProperty("/var/lib/graftwatch", out _));
        Assert.Single(layers);
    }

    [Fact]
    public async Task From_its_own_read_only_files_it_checks_serves_a_letter_and_answers_its_health_check()
    {
        string archive = ArchiveOrSkip();
        Assert.SkipUnless(Shell.IsRoot && Shell.Has("unshare"), "Needs Linux, root and unshare (Debian package util-linux).");
        string folder = Directory.CreateTempSubdirectory("graftwatch-container-").FullName;
        string root = Directory.CreateDirectory(Path.Combine(folder, "root")).FullName;
        string data = Directory.CreateDirectory(Path.Combine(folder, "data")).FullName;
        Image(archive, out string[] layers).Dispose();
        Shell.Run("tar", "-xf", archive, "-C", folder, layers[0]).Fine();
        Shell.Run("tar", "-xf", Path.Combine(folder, layers[0]), "-C", root).Fine();
        Shell.Run("chown", "1654:1654", data).Fine();

        await using Morning morning = await Morning.StartAsync();
        string config = Directory.CreateDirectory(Path.Combine(folder, "config")).FullName;
        await File.WriteAllTextAsync(Path.Combine(config, "graftwatch.toml"), morning.Settings("/var/lib/graftwatch"), TestContext.Current.CancellationToken);
        await File.WriteAllTextAsync(Path.Combine(config, "register.csv"), Morning.Register(0), TestContext.Current.CancellationToken);
        File.Copy(morning.Authority, Path.Combine(config, "authority.pem"));
        string[] inside = ["--mount", "--pid", "--fork", "--kill-child", "--propagation", "private", "bash", "-c", Run, "run", root, config, data, "SSL_CERT_FILE=/etc/graftwatch/authority.pem", "GRAFTWATCH_MAIL_PASSWORD=" + Morning.MailPassword, "/usr/bin/unshare", "--root", root, "--wd", "/var/lib/graftwatch", "--setgid", "1654", "--setuid", "1654", "/usr/bin/graftwatch"];

        Assert.Contains("Sorrel Bank", Shell.Run("unshare", [.. inside, "demo", "--out", "/tmp/letter.eml"]).Fine(), StringComparison.Ordinal);
        string check = Shell.Run("unshare", [.. inside, "check", "--config", "/etc/graftwatch"]).Fine();
        Assert.DoesNotContain("failed", check, StringComparison.Ordinal);
        int port = LoopbackMailServer.FreePort();
        await using (Serving serving = Serving.Start("unshare", [.. inside, "serve", "--config", "/etc/graftwatch", "--listen", $"127.0.0.1:{port}", "--watch", "off"], port))
        {
            await morning.LetterAsync(1, () => serving.Log);
            Assert.Equal("live\n", Shell.Run("unshare", [.. inside, "live", $"http://127.0.0.1:{port}"]).Fine());
        }

        Assert.Equal(1, Shell.Run("unshare", [.. inside, "live", $"http://127.0.0.1:{port}"]).Code);
        Directory.Delete(folder, recursive: true);
    }

    private static JsonDocument Image(string archive, out string[] layers)
    {
        using JsonDocument manifest = JsonDocument.Parse(Read(archive, "manifest.json"));
        JsonElement image = manifest.RootElement[0];
        layers = [.. image.GetProperty("Layers").EnumerateArray().Select(layer => layer.GetString()!)];
        return JsonDocument.Parse(Read(archive, image.GetProperty("Config").GetString()!));
    }

    private static byte[] Read(string archive, string name)
    {
        using FileStream file = File.OpenRead(archive);
        using var tar = new TarReader(file);
        while (tar.GetNextEntry() is { } entry)
        {
            if (entry.Name == name)
            {
                using var bytes = new MemoryStream();
                entry.DataStream!.CopyTo(bytes);
                return bytes.ToArray();
            }
        }

        throw new InvalidDataException($"{archive} has no {name}");
    }
}
