namespace GraftWatch.Packaging.Tests;

/// <summary>The plain tarball and its install.sh, below a folder of the test's own: users and services are not touched there.</summary>
public sealed class TarballTests
{
    [Fact]
    public void Install_sh_installs_twice_leaves_settings_alone_and_takes_only_the_program_away()
    {
        string tarball = Dist.OrSkip(Dist.PathOf($"graftwatch-{Dist.Version}-{Dist.Platform}.tar.gz"));
        string folder = Directory.CreateTempSubdirectory("graftwatch-tarball-").FullName;
        string root = Path.Combine(folder, "root");
        Shell.Run("tar", "-xf", tarball, "-C", folder).Fine();
        string script = Path.Combine(folder, $"graftwatch-{Dist.Version}-{Dist.Platform}", "install.sh");
        Shell.Said Install(params string[] arguments) => Shell.RunIn(folder, new Dictionary<string, string?> { ["DESTDIR"] = root }, "sh", [script, .. arguments]);

        Assert.Contains("waits for its settings", Install().Fine(), StringComparison.Ordinal);
        Assert.Contains("Sorrel Bank", Shell.RunIn(folder, null, Path.Combine(root, "usr", "bin", "graftwatch"), "demo").Fine(), StringComparison.Ordinal);
        Assert.True(File.Exists(Path.Combine(root, "etc", "systemd", "system", "graftwatch.service")));
        string settings = Path.Combine(root, "etc", "graftwatch", "graftwatch.toml");
        File.WriteAllText(settings, "# mine\n");
        Install().Fine();
        Assert.Equal("# mine\n", File.ReadAllText(settings));

        Install("--remove").Fine();
        Assert.False(Path.Exists(Path.Combine(root, "usr", "lib", "graftwatch")));
        Assert.False(Path.Exists(Path.Combine(root, "usr", "bin", "graftwatch")));
        Assert.Equal("# mine\n", File.ReadAllText(settings));
        Assert.Equal(2, Install("--nonsense").Code);
        Directory.Delete(folder, recursive: true);
    }
}
