using GraftWatch.Testing;

namespace GraftWatch.EndToEnd.Tests.Commands;

public sealed class StoreCommandTests : IDisposable
{
    private const string Settings =
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
        """;

    private static readonly string Register = Repository.PathOf("src", "GraftWatch", "Demo", "register.csv");
    private readonly CommandRun run = new();

    public StoreCommandTests()
    {
        Directory.CreateDirectory(Path.Combine(run.Folder, "config"));
        run.Write("config/graftwatch.toml", Settings);
    }

    public void Dispose() => run.Dispose();

    [Fact]
    public async Task A_register_goes_in_and_comes_out_byte_for_byte_from_then_on()
    {
        await FineAsync("import", Register);
        Assert.Contains("16 added", run.Results, StringComparison.Ordinal);
        await FineAsync("export");
        string first = run.Results;
        run.Write("again.csv", first);
        await FineAsync("import", "again.csv", "--replace");
        Assert.Contains("0 added, 0 changed, 0 removed, 16 as before", run.Results, StringComparison.Ordinal);
        await FineAsync("export");
        Assert.Equal(first, run.Results);
    }

    [Fact]
    public async Task A_wrong_register_changes_nothing()
    {
        await FineAsync("import", Register);
        run.Write("wrong.csv", "label,place,species,technique,made\nX-1,Sorrel Bank,aple,cleft,2026-04-01\n");
        Assert.Equal(2, await run.RunAsync("import", "wrong.csv", "--replace"));
        Assert.Contains("wrong.csv:2", run.Messages, StringComparison.Ordinal);
        await FineAsync("export");
        Assert.Equal(17, run.Results.Trim().Split('\n').Length);
    }

    [Fact]
    public async Task What_a_grower_saw_is_noted_listed_and_taken_back()
    {
        await FineAsync("import", Register);
        await FineAsync("observe", "A1-01", "green", "tip", "--on", "2026-10-30");
        Assert.Contains("Note 1", run.Results, StringComparison.Ordinal);
        await FineAsync("observe", "--list");
        Assert.Contains("2026-10-30 12:00  A1-01      green tip", run.Results, StringComparison.Ordinal);
        await FineAsync("observe", "--undo", "1");
        await FineAsync("observe", "--list");
        Assert.Contains("taken back", run.Results, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("A1-01", "grean tip", "green tip")]
    [InlineData("Z9-99", "green tip", "Z9-99")]
    [InlineData("A1-1", "green tip", "Nearest: A1-0")]
    [InlineData("A1-01", "", "saw or did")]
    public async Task Words_and_labels_that_are_not_known_are_refused_with_what_was_probably_meant(string label, string words, string hint)
    {
        await FineAsync("import", Register);
        Assert.Equal(2, await run.RunAsync("observe", label, words));
        Assert.Contains(hint, run.Messages, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_copy_is_proven_and_puts_the_store_back_as_it_was()
    {
        await FineAsync("import", Register);
        await FineAsync("backup", "--to", "copy.db");
        Assert.Contains("sha256", run.Results, StringComparison.Ordinal);
        await FineAsync("observe", "A1-01", "green tip");
        await FineAsync("restore", "copy.db");
        await FineAsync("observe", "--list");
        Assert.Empty(run.Results);
        await FineAsync("export");
        Assert.Contains("A1-01", run.Results, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Everything_moves_to_an_empty_store_as_one_archive()
    {
        await FineAsync("import", Register);
        await FineAsync("observe", "A1-01", "green tip");
        await FineAsync("export");
        string register = run.Results;
        await FineAsync("export", "--archive", "all.json");
        Directory.Move(Path.Combine(run.Folder, "config", "data"), Path.Combine(run.Folder, "config", "old"));
        await FineAsync("import", "all.json");
        Assert.Contains("16 grafts", run.Results, StringComparison.Ordinal);
        await FineAsync("export");
        Assert.Equal(register, run.Results);
        Assert.Equal(2, await run.RunAsync("import", "all.json"));
    }

    [Fact]
    public async Task A_register_kept_as_a_file_is_not_imported_over()
    {
        run.Write("config/graftwatch.toml", Settings + "\nregister = \"register.csv\"\n");
        File.Copy(Register, Path.Combine(run.Folder, "config", "register.csv"));
        Assert.Equal(2, await run.RunAsync("import", Register));
        Assert.Contains("register.csv", run.Messages, StringComparison.Ordinal);
        await FineAsync("observe", "A1-01", "green tip");
        await FineAsync("export");
        Assert.Contains("A1-01", run.Results, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_round_follows_what_was_seen()
    {
        await FineAsync("import", Register);
        await FineAsync("observe", "B2-01", "dead", "--on", "2026-05-11");
        await FineAsync("round", "--weather", Repository.PathOf("src", "GraftWatch", "Demo", "weather.json"), "--date", "2026-05-12", "--json");
        Assert.Contains("\"stage\": \"failed\"", run.Results, StringComparison.Ordinal);
    }

    private async Task FineAsync(params string[] arguments) => Assert.True(await run.RunAsync(arguments) == 0, $"{string.Join(' ', arguments)}: {run.Messages}");
}
