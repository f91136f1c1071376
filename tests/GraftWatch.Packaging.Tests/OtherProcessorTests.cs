using GraftWatch.Testing;

namespace GraftWatch.Packaging.Tests;

/// <summary>The program for 64-bit ARM, run by an emulator where this machine has another processor.</summary>
/// <remarks>Emulated are the demonstration, a saved round and the settings check; no daemon and no network: that wants a real machine.</remarks>
public sealed class OtherProcessorTests
{
    [Fact]
    public void The_ARM_program_prints_the_demonstration_word_for_word_and_keeps_a_store()
    {
        string arm = Dist.OrSkip(Dist.PathOf("linux-arm64", "graftwatch"));
        string own = Dist.ProgramOrSkip();
        string root = Repository.PathOf("artifacts", "deploy", "base-arm64");
        Assert.SkipUnless(Directory.Exists(root), "Needs deploy/lib/base-root arm64 artifacts/deploy/base-arm64.");
        Shell.OrSkip("qemu-aarch64", "qemu-user");
        string folder = Directory.CreateTempSubdirectory("graftwatch-arm-").FullName;
        Shell.Said On(params string[] arguments) => Shell.RunIn(folder, null, "qemu-aarch64", ["-L", root, arm, .. arguments]);
        Assert.Equal(Shell.RunIn(folder, null, own, "demo").Fine(), On("demo").Fine());

        File.WriteAllText(Path.Combine(folder, "graftwatch.toml"), """
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
            """);
        File.Copy(Repository.PathOf("src", "GraftWatch", "Demo", "register.csv"), Path.Combine(folder, "register.csv"));
        On("import", "register.csv", "--grower", "Mara", "--config", folder).Fine();
        Assert.Contains("\nB1-01,", On("export", "--config", folder).Fine(), StringComparison.Ordinal);
        Assert.Contains("settings  fine", On("check", "--only", "settings", "--config", folder).Fine(), StringComparison.Ordinal);
        Directory.Delete(folder, recursive: true);
    }
}
