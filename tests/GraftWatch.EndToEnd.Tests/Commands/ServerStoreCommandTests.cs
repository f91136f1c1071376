using System.Globalization;
using GraftWatch.Testing;
using Npgsql;

namespace GraftWatch.EndToEnd.Tests.Commands;

/// <summary>The same commands on a PostgreSQL server, chosen by one table of the settings.</summary>
public sealed class ServerStoreCommandTests : IDisposable
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
    private static readonly string Weather = Repository.PathOf("src", "GraftWatch", "Demo", "weather.json");
    private readonly CommandRun run = new();

    public ServerStoreCommandTests()
    {
        Directory.CreateDirectory(Path.Combine(run.Folder, "config"));
        var server = new NpgsqlConnectionStringBuilder(PostgresServer.SharedOrSkip().CreateDatabase());
        run.Write("config/graftwatch.toml", Settings + Store(server.Port, server.Database!));
    }

    public void Dispose() => run.Dispose();

    [Fact]
    public async Task A_register_notes_and_rounds_are_kept_on_the_server_and_come_back_as_they_went_in()
    {
        await FineAsync("import", Register);
        await FineAsync("export");
        string first = run.Results;
        run.Write("again.csv", first);
        await FineAsync("import", "again.csv", "--replace");
        Assert.Contains("0 added, 0 changed, 0 removed, 16 as before", run.Results, StringComparison.Ordinal);
        await FineAsync("export");
        Assert.Equal(first, run.Results);

        await FineAsync("observe", "B2-01", "dead", "--on", "2026-05-11");
        await FineAsync("round", "--weather", Weather, "--date", "2026-05-12", "--json");
        Assert.Contains("\"stage\": \"failed\"", run.Results, StringComparison.Ordinal);
        await FineAsync("explain", "--graft", "A1-01", "--weather", Weather, "--format", "csv");
        Assert.Contains("cambium_c", run.Results, StringComparison.Ordinal);
        Assert.False(Directory.Exists(Path.Combine(run.Folder, "config", "data")), "There is a store as a file too.");
    }

    [Fact]
    public async Task Check_names_the_server()
    {
        await run.RunAsync("check");
        Assert.Matches(@"store +fine +PostgreSQL database t\w+ at 127\.0\.0\.1:\d+", run.Results);
    }

    [Theory]
    [InlineData("backup", "copies a store that is a file")]
    [InlineData("backup --to copy.db", "pg_dump")]
    [InlineData("restore copy.db", "puts copies back into a store that is a file")]
    public async Task Copies_are_left_to_the_servers_own_tools_and_that_is_said(string line, string words)
    {
        Assert.Equal(2, await run.RunAsync(line.Split(' ')));
        Assert.Contains(words, run.Messages, StringComparison.Ordinal);
        Assert.Contains("export --archive", run.Messages, StringComparison.Ordinal);
    }

    [Fact]
    public async Task What_a_file_held_moves_to_the_server_as_one_archive()
    {
        string server = File.ReadAllText(Path.Combine(run.Folder, "config", "graftwatch.toml"));
        run.Write("config/graftwatch.toml", Settings);
        await FineAsync("import", Register);
        await FineAsync("observe", "A1-01", "green tip");
        await FineAsync("export");
        string register = run.Results;
        await FineAsync("export", "--archive", "all.json");

        run.Write("config/graftwatch.toml", server);
        await FineAsync("import", "all.json");
        await FineAsync("export");
        Assert.Equal(register, run.Results);
        await FineAsync("observe", "--list");
        Assert.Contains("green tip", run.Results, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_server_that_is_not_there_is_a_sentence_without_the_password()
    {
        File.WriteAllText(Path.Combine(run.Folder, "secret"), "hunter2\n");
        run.Write("config/graftwatch.toml", Settings + Store(Testing.Mail.LoopbackMailServer.FreePort(), "gone") + $"\npassword_file = \"{Path.Combine(run.Folder, "secret")}\"\n");
        foreach (string line in (string[])["export", "observe --list", "serve --listen off", "check"])
        {
            Assert.NotEqual(0, await run.RunAsync(line.Split(' ')));
            Assert.Contains("does not answer", run.Messages + run.Results, StringComparison.Ordinal);
            Assert.DoesNotContain("hunter2", run.Messages + run.Results, StringComparison.Ordinal);
        }
    }

    private static string Store(int port, string database) => string.Create(
        CultureInfo.InvariantCulture,
        $"""


        [store]
        kind = "postgresql"
        host = "127.0.0.1"
        port = {port}
        database = "{database}"
        user = "postgres"
        security = "plain"
        """);

    private async Task FineAsync(params string[] arguments) => Assert.True(await run.RunAsync(arguments) == 0, $"{string.Join(' ', arguments)}: {run.Messages}");
}
