using System.Globalization;
using System.Text.RegularExpressions;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;

namespace GraftWatch.Packaging.Tests;

/// <summary>The Debian package, on a machine of its own with a real dpkg and a real systemd.</summary>
[Collection("machines")]
public sealed partial class DebianPackageTests
{
    [Fact]
    public void It_holds_what_it_should_where_Debian_wants_it()
    {
        string deb = Dist.DebOrSkip();
        Shell.OrSkip("dpkg-deb", "dpkg");
        string[] paths = [.. Shell.Run("dpkg-deb", "--contents", deb).Fine().Split('\n').Where(line => line.Length > 0 && line[0] != 'd').Select(line => line.Split(" ./")[1].Split(" -> ")[0])];
        foreach (string expected in new[]
        {
            "usr/bin/graftwatch", "usr/lib/graftwatch/graftwatch", "usr/lib/graftwatch/libe_sqlite3.so", "usr/lib/systemd/system/graftwatch.service",
            "etc/graftwatch/graftwatch.toml", "etc/graftwatch/thresholds.toml", "etc/graftwatch/species.toml", "etc/graftwatch/materials.toml",
            "usr/share/man/man1/graftwatch.1.gz", "usr/share/bash-completion/completions/graftwatch", "usr/share/zsh/vendor-completions/_graftwatch",
            "usr/share/fish/vendor_completions.d/graftwatch.fish", "usr/share/doc/graftwatch/copyright", "usr/share/doc/graftwatch/operations.md",
        })
        {
            Assert.Contains(expected, paths);
        }

        string[] conffiles = [.. Shell.Run("dpkg-deb", "--info", deb, "conffiles").Fine().Split('\n', StringSplitOptions.RemoveEmptyEntries)];
        Assert.Equal(["/etc/graftwatch/graftwatch.toml", "/etc/graftwatch/materials.toml", "/etc/graftwatch/species.toml", "/etc/graftwatch/thresholds.toml"], conffiles.Order());
        Assert.Equal(Dist.Version, Shell.Run("dpkg-deb", "--field", deb, "Version").Fine().Trim());
        Assert.Equal(Dist.DebianArchitecture, Shell.Run("dpkg-deb", "--field", deb, "Architecture").Fine().Trim());
    }

    [Fact]
    public void The_package_checker_finds_no_error_and_no_warning()
    {
        string deb = Dist.DebOrSkip();
        Shell.OrSkip("lintian", "lintian");
        Shell.Said said = Shell.Run("lintian", "--fail-on", "error,warning", "--no-tag-display-limit", deb);
        Assert.True(said.Code == 0, said.All);
    }

    [Fact]
    public async Task It_waits_for_settings_then_sends_one_letter_through_upgrade_removal_and_return_and_purge_leaves_nothing()
    {
        string deb = Dist.DebOrSkip();
        await using ScratchMachine machine = await ScratchMachine.StartOrSkipAsync();
        await using Morning morning = await Morning.StartAsync();
        // The machine shares this machine's loopback: other ports than the usual ones.
        string serve = $"/usr/lib/graftwatch/graftwatch serve --config /etc/graftwatch --listen 127.0.0.1:{LoopbackMailServer.FreePort()} --watch 127.0.0.1:{LoopbackMailServer.FreePort()}";
        machine.Sh($"mkdir -p /etc/systemd/system/graftwatch.service.d && printf '[Service]\\nExecStart=\\nExecStart={serve}\\nStandardError=append:/run/graftwatch.log\\nEnvironment=SSL_CERT_FILE=/etc/test-authority.pem\\n' >/etc/systemd/system/graftwatch.service.d/test.conf").Fine();

        // Installed: a user, folders, an enabled service that waits, and a sentence.
        string installed = machine.Run("dpkg", "-i", Bring(machine, deb)).Fine();
        Assert.Contains("waits for its settings", installed, StringComparison.Ordinal);
        Assert.Equal("enabled", machine.Run("systemctl", "is-enabled", "graftwatch.service").Results.Trim());
        Assert.Equal("inactive", machine.Show("ActiveState"));
        Assert.Equal("exec-condition", machine.Show("Result"));
        Assert.Equal("graftwatch 750", machine.Sh("stat -c '%U %a' /var/lib/graftwatch").Fine().Trim());
        Assert.Equal("root graftwatch 750", machine.Sh("stat -c '%U %G %a' /etc/graftwatch").Fine().Trim());
        Assert.Contains("GraftWatch", machine.Run("man", "--warnings", "graftwatch").Fine(), StringComparison.Ordinal);
        machine.Sh("/var/lib/dpkg/info/graftwatch.postinst configure && /var/lib/dpkg/info/graftwatch.postinst configure").Fine();

        // Filled in: it starts and the letter of the morning goes.
        string toml = morning.Settings("/var/lib/graftwatch");
        await File.WriteAllTextAsync(Path.Combine(machine.Shared, "graftwatch.toml"), toml);
        await File.WriteAllTextAsync(Path.Combine(machine.Shared, "register.csv"), Morning.Register(0));
        File.Copy(morning.Authority, Path.Combine(machine.Shared, "authority.pem"));
        machine.Sh($"cp {machine.Shared}/graftwatch.toml {machine.Shared}/register.csv /etc/graftwatch/ && cp {machine.Shared}/authority.pem /etc/test-authority.pem").Fine();
        machine.Sh($"printf '%s' '{Morning.MailPassword}' >/etc/credstore/graftwatch-mail-password && chmod 600 /etc/credstore/graftwatch-mail-password").Fine();
        machine.Run("systemctl", "start", "graftwatch.service").Fine();
        Assert.Equal("active", machine.Show("ActiveState"));
        await morning.LetterAsync(1, () => machine.Show("StatusText") + machine.Log());
        string before = machine.Show("MainPID");

        // Upgraded: settings and data stay, the new program runs, and the morning is not told twice.
        string newer = BuildNewer();
        machine.Run("dpkg", "-i", "--force-confdef", "--force-confold", Bring(machine, newer)).Fine();
        await machine.WaitAsync(() => machine.Show("ActiveState") == "active" && machine.Show("MainPID") != before, "the new program");
        Assert.Equal(toml, machine.Sh("cat /etc/graftwatch/graftwatch.toml").Fine());
        await Task.Delay(TimeSpan.FromSeconds(8), TestContext.Current.CancellationToken);
        Assert.Single(morning.Mail.Received);

        // Removed: it stops, data and settings stay. Installed again: still one letter.
        machine.Run("dpkg", "--remove", "graftwatch").Fine();
        Assert.NotEqual("active", machine.Run("systemctl", "is-active", "graftwatch.service").Results.Trim());
        machine.Sh("test -s /var/lib/graftwatch/graftwatch.db && test -s /etc/graftwatch/register.csv && test ! -e /usr/bin/graftwatch").Fine();
        machine.Run("dpkg", "-i", Bring(machine, deb)).Fine();
        await machine.WaitAsync(() => machine.Show("ActiveState") == "active", "the program installed again");
        await Task.Delay(TimeSpan.FromSeconds(8), TestContext.Current.CancellationToken);
        Assert.Single(morning.Mail.Received);

        // Purged: nothing left.
        machine.Run("dpkg", "--purge", "graftwatch").Fine();
        string left = machine.Sh("find /etc /usr /var/lib /run -xdev -name '*graftwatch*' ! -path '*/graftwatch.service.d*' ! -path /run/graftwatch.log -print 2>/dev/null; getent passwd graftwatch").Results;
        Assert.Equal(string.Empty, Own(left));
    }

    [GeneratedRegex("^(?!/etc/systemd/system/graftwatch).+$", RegexOptions.Multiline)]
    private static partial Regex LinesOfThePackage();

    private static string Own(string left) => string.Join('\n', LinesOfThePackage().Matches(left).Select(match => match.Value).Where(path => !path.StartsWith(Repository.Root, StringComparison.Ordinal)));

    private static string Bring(ScratchMachine machine, string deb)
    {
        string inside = Path.Combine(machine.Shared, Path.GetFileName(deb));
        File.Copy(deb, inside, overwrite: true);
        return inside;
    }

    // The same program under a later number: what an upgrade does is in the package's scripts.
    private static string BuildNewer()
    {
        string version = string.Create(CultureInfo.InvariantCulture, $"{Dist.Version}+next");
        Shell.RunIn(Repository.Root, new Dictionary<string, string?> { ["GRAFTWATCH_DEB_VERSION"] = version, ["GRAFTWATCH_DEB_PACKING"] = "none" }, "bash", Repository.PathOf("deploy", "deb", "build"), Dist.Platform).Fine();
        string made = Dist.PathOf($"graftwatch_{version}_{Dist.DebianArchitecture}.deb");
        string kept = Path.Combine(Directory.CreateTempSubdirectory("graftwatch-newer-").FullName, Path.GetFileName(made));
        File.Move(made, kept);
        return kept;
    }
}
