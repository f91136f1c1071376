using GraftWatch.Testing;

namespace GraftWatch.Packaging.Tests;

/// <summary>The systemd unit, judged by systemd's own tools.</summary>
public sealed class ServiceUnitTests
{
    private static string Unit => Repository.PathOf("deploy", "graftwatch.service");

    [Fact]
    public void Its_exposure_is_at_most_one_and_a_half()
    {
        Shell.OrSkip("systemd-analyze", "systemd");
        Shell.Said said = Shell.Run("systemd-analyze", "security", "--offline=true", "--threshold=15", "--no-pager", Unit);
        TestContext.Current.TestOutputHelper!.WriteLine(said.Results.Split('\n').Last(line => line.Contains("Overall", StringComparison.Ordinal)));
        Assert.True(said.Code == 0, said.All);
    }

    [Fact]
    public async Task Systemd_finds_nothing_wrong_in_it_but_two_keys_it_may_not_know_yet()
    {
        Shell.OrSkip("systemd-analyze", "systemd");
        string folder = Directory.CreateTempSubdirectory("graftwatch-unit-").FullName;
        string text = await File.ReadAllTextAsync(Unit, TestContext.Current.CancellationToken);
        Assert.Contains("ExecStart=/usr/lib/graftwatch/graftwatch ", text, StringComparison.Ordinal);
        // The tool wants program and manual page to exist; both are the package's affair.
        string file = Path.Combine(folder, "graftwatch.service");
        await File.WriteAllTextAsync(file, text.Replace("/usr/lib/graftwatch/graftwatch ", "/bin/true ", StringComparison.Ordinal).Replace("man:graftwatch(1) ", string.Empty, StringComparison.Ordinal), TestContext.Current.CancellationToken);
        Shell.Said said = Shell.Run("systemd-analyze", "verify", "--recursive-errors=no", file);
        string[] complaints = [.. said.All.Split('\n').Where(line => line.Contains("graftwatch", StringComparison.Ordinal) && !line.Contains("'RestartSteps'", StringComparison.Ordinal) && !line.Contains("'RestartMaxDelaySec'", StringComparison.Ordinal))];
        Assert.Empty(complaints);
        Directory.Delete(folder, recursive: true);
    }

    [Fact]
    public void The_secrets_it_passes_on_are_the_ones_the_program_looks_for()
    {
        string unit = File.ReadAllText(Unit);
        foreach (string name in new[] { "graftwatch-mail-password", "graftwatch-store-password", "graftwatch-weather-key" })
        {
            Assert.Contains($"LoadCredential={name}\n", unit, StringComparison.Ordinal);
            Assert.Contains($"\"{name}\"", string.Concat(Directory.EnumerateFiles(Repository.PathOf("src", "GraftWatch.Settings", "Secrets"), "*.cs").Select(File.ReadAllText)), StringComparison.Ordinal);
        }
    }
}
