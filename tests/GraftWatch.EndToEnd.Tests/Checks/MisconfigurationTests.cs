using System.Diagnostics;
using System.Text.Json.Nodes;
using GraftWatch.Checks;
using GraftWatch.Commands;
using GraftWatch.Records;
using GraftWatch.Records.Backups;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;
using Json.Schema;
using Microsoft.Data.Sqlite;
using MimeKit;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Checks;

/// <summary>Seeded mistakes: each gets a sentence that names the setting or the file and how to mend it, within a minute, and nothing is written.</summary>
public sealed class MisconfigurationTests
{
    private static readonly JsonSchema Schema = JsonSchema.FromFile(Repository.PathOf("docs", "check.schema.json"));

    private static CancellationToken Stop => TestContext.Current.CancellationToken;

    public static TheoryData<string> Mistakes => [.. Misconfiguration.All.Keys];

    [Fact]
    public async Task An_installation_without_a_mistake_is_fine_in_every_line_but_the_copy_it_does_not_have_yet()
    {
        await using CheckedInstallation installation = CheckedInstallation.Make();
        Assert.Equal(0, await installation.CheckAsync());
        Assert.All(installation.Text.Trim().Split('\n'), line => Assert.Matches("^[a-z]+ +fine ", line));
        string[] subjects = [.. installation.Text.Trim().Split('\n').Select(line => line.Split(' ')[0]).Distinct()];
        Assert.Equal(["settings", "store", "register", "mail", "weather", "clock", "zones", "trust", "picture", "page", "service"], subjects);
        Assert.Equal(installation.Files.Before, installation.Files.After);
    }

    [Theory]
    [MemberData(nameof(Mistakes))]
    public async Task Every_seeded_mistake_is_told_with_its_setting_and_how_to_mend_it(string mistake)
    {
        Misconfiguration seeded = Misconfiguration.All[mistake];
        await using CheckedInstallation installation = CheckedInstallation.Make();
        await seeded.Spoil(installation);
        var watch = Stopwatch.StartNew();
        int code = await installation.CheckAsync();
        Assert.InRange(watch.Elapsed.TotalSeconds, 0, 60);

        string[] lines = installation.Text.Trim().Split('\n');
        string[] telling = [.. lines.Where(line => seeded.Words.All(word => line.Contains(word, StringComparison.OrdinalIgnoreCase)))];
        Assert.True(telling.Length > 0, $"No line says all of: {string.Join(" | ", seeded.Words)}\n{installation.Text}");
        Assert.All(telling, line => Assert.Matches($"^[a-z]+ +{seeded.State} ", line));
        Assert.True(code == seeded.Code, $"ended with {code} instead of {seeded.Code}:\n{installation.Text}");
        Assert.DoesNotMatch(@"(?m)   at |Exception|canary-4711", installation.Text + installation.Messages);
        Assert.Equal(installation.Files.Before, installation.Files.After);
    }

    [Fact]
    public void At_least_25_mistakes_are_seeded() => Assert.InRange(Misconfiguration.All.Count, 25, 100);

    [Theory]
    [InlineData("wrong mail port")]
    [InlineData("unknown key")]
    [InlineData("clock at 1970")]
    public async Task The_document_has_the_documented_shape_and_tells_the_same(string mistake)
    {
        Misconfiguration seeded = Misconfiguration.All[mistake];
        await using CheckedInstallation installation = CheckedInstallation.Make();
        await seeded.Spoil(installation);
        int code = await installation.RunAsync(new CheckWishes(Json: true));
        JsonNode document = JsonNode.Parse(installation.Text)!;
        EvaluationResults judged = Schema.Evaluate(document, new EvaluationOptions { OutputFormat = OutputFormat.List });
        Assert.True(judged.IsValid, string.Join('\n', judged.Details.Where(detail => detail.HasErrors).Select(detail => $"{detail.InstanceLocation}: {string.Join(' ', detail.Errors!.Values)}")));
        Assert.Equal((seeded.Code, seeded.State), (code, (string)document["worst"]!));
        Assert.Equal(code, (int)document["exitCode"]!);
    }

    [Fact]
    public void Every_check_stands_in_the_documented_shape()
    {
        JsonNode schema = JsonNode.Parse(File.ReadAllText(Repository.PathOf("docs", "check.schema.json")))!;
        IEnumerable<string> documented = schema["properties"]!["checks"]!["items"]!["properties"]!["subject"]!["enum"]!.AsArray().Select(word => (string)word!);
        Assert.Equal(InstallationCheck.Subjects, documented);
    }

    [Fact]
    public async Task Only_the_checks_that_are_named_run()
    {
        await using CheckedInstallation installation = CheckedInstallation.Make();
        Assert.Equal(0, await installation.CheckAsync("clock", "register"));
        Assert.Equal(["register", "clock"], installation.Text.Trim().Split('\n').Select(line => line.Split(' ')[0]));
    }

    [Fact]
    public async Task A_letter_to_oneself_comes_the_way_letters_come()
    {
        await using CheckedInstallation installation = CheckedInstallation.Make();
        Assert.Equal(0, await installation.RunAsync(new CheckWishes(Only: ["mail"], SendTo: "ops@sorrelbank.example")));
        Assert.Contains("A letter to ops@sorrelbank.example was taken (2.0.0 kept)", installation.Text, StringComparison.Ordinal);
        ReceivedLetter letter = Assert.Single(installation.Mail.Received);
        MimeMessage message = letter.Parse();
        Assert.Equal(("GraftWatch: your mail works", "auto-generated"), (message.Subject, message.Headers["Auto-Submitted"]));
        Assert.Equal(0, await installation.RunAsync(new CheckWishes(Only: ["mail"], SendTo: string.Empty)));
        Assert.Equal(["mara@sorrelbank.example"], installation.Mail.Received.Last().Recipients);
    }

    [Fact]
    public async Task A_letter_that_is_refused_is_told_in_the_servers_words()
    {
        await using CheckedInstallation installation = CheckedInstallation.Make();
        await installation.UseMailAsync(new LoopbackMailOptions { RefuseRecipient = (550, "5.7.1 relaying denied") }, "plain");
        Assert.Equal(1, await installation.RunAsync(new CheckWishes(Only: ["mail"], SendTo: "ops@sorrelbank.example")));
        Assert.Contains("5.7.1 relaying denied", installation.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_store_that_another_program_keeps_locked_is_told_and_the_rest_is_checked()
    {
        await using CheckedInstallation installation = CheckedInstallation.Make();
        await (await SqliteStore.OpenAsync(installation.Store, new SqliteStoreOptions { ReserveBytes = 0 }, Stop)).DisposeAsync();
        using (var stuck = new SqliteConnection($"Data Source={installation.Store};Pooling=False"))
        {
            stuck.Open();
            using SqliteCommand begin = stuck.CreateCommand();
            begin.CommandText = "BEGIN IMMEDIATE";
            begin.ExecuteNonQuery();
            Assert.Equal(1, await installation.CheckAsync());
        }

        Assert.Matches("(?m)^store +failed data_folder: Another program keeps .*graftwatch.db locked.*run only one GraftWatch", installation.Text);
        Assert.Matches("(?m)^weather +fine ", installation.Text);
    }

    [Fact]
    public async Task A_daemon_that_works_with_the_store_is_named_and_is_no_fault()
    {
        await using CheckedInstallation installation = CheckedInstallation.Make();
        await (await SqliteStore.OpenAsync(installation.Store, new SqliteStoreOptions { ReserveBytes = 0 }, Stop)).DisposeAsync();
        using StoreLock daemon = StoreLock.Take(installation.Store);
        Assert.Equal(0, await installation.CheckAsync("store"));
        Assert.Contains($"serve works with it (process {Environment.ProcessId})", installation.Text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_store_of_an_older_program_is_told_and_not_touched()
    {
        await using CheckedInstallation installation = CheckedInstallation.Make();
        await (await SqliteStore.OpenAsync(installation.Store, new SqliteStoreOptions { ReserveBytes = 0 }, Stop)).DisposeAsync();
        using (var old = new SqliteConnection($"Data Source={installation.Store};Pooling=False"))
        {
            old.Open();
            using SqliteCommand forget = old.CreateCommand();
            forget.CommandText = "DELETE FROM schema_version WHERE number > 2";
            forget.ExecuteNonQuery();
        }

        Assert.Equal(0, await installation.CheckAsync("store"));
        Assert.Matches(@"schema step 2 of \d+\. The next start of serve copies it and brings it up to date", installation.Text);
        Assert.Equal(installation.Files.Before, installation.Files.After);
    }

    [Fact]
    public async Task A_tmpfs_with_too_little_room_is_found_full_by_its_real_numbers()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux() && Environment.IsPrivilegedProcess, "Needs Linux and the superuser, who may mount a small disk.");
        await using CheckedInstallation installation = CheckedInstallation.Make();
        string small = Directory.CreateDirectory(Path.Combine(installation.Folder, "small")).FullName;
        Shell.Run("mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", small);
        try
        {
            installation.Replace("data_folder = \"data\"", $"data_folder = \"{small}\"");
            Assert.Equal(1, await installation.CheckAsync("store"));
            Assert.Matches("data_folder: only 3 MiB free on the disk of .*small.*Make room", installation.Text);
        }
        finally
        {
            Shell.Run("umount", small);
        }
    }

    [Fact]
    public async Task A_disk_mounted_read_only_is_told_also_to_the_superuser()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux() && Environment.IsPrivilegedProcess, "Needs Linux and the superuser, who may mount a disk.");
        await using CheckedInstallation installation = CheckedInstallation.Make();
        string disk = Directory.CreateDirectory(Path.Combine(installation.Folder, "disk")).FullName;
        Shell.Run("mount", "-t", "tmpfs", "-o", "ro", "tmpfs", disk);
        try
        {
            installation.Replace("data_folder = \"data\"", $"data_folder = \"{disk}\"");
            Assert.Equal(1, await installation.CheckAsync("store"));
            Assert.Matches("data_folder: The folder .*disk, which belongs to root, cannot be written.*name another folder in data_folder.*read-only", installation.Text);
        }
        finally
        {
            Shell.Run("umount", disk);
        }
    }

    [Fact]
    public async Task Files_of_another_owner_are_told_with_the_command_that_mends_it()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux() && Environment.IsPrivilegedProcess, "Needs Linux and the superuser, who may give files away.");
        await using CheckedInstallation installation = CheckedInstallation.Make();
        await (await SqliteStore.OpenAsync(installation.Store, new SqliteStoreOptions { ReserveBytes = 0 }, Stop)).DisposeAsync();
        Shell.Run("chown", "nobody", installation.Data);
        Assert.Equal(0, await installation.CheckAsync("store"));
        Assert.Matches("(?m)^store +look .*graftwatch.db belongs to root, its folder to nobody.*chown -R nobody ", installation.Text);
    }

    [Fact]
    public async Task A_check_that_hangs_ends_at_its_limit_and_the_others_go_on()
    {
        await using CheckedInstallation installation = CheckedInstallation.Make();
        installation.Replace("host = \"127.0.0.1\"", "host = \"mail.sorrelbank.example\"");
        installation.Surroundings = installation.Surroundings with
        {
            Limit = TimeSpan.FromSeconds(1),
            Resolve = (_, _) => new TaskCompletionSource<System.Net.IPAddress[]>().Task,
        };
        Assert.Equal(1, await installation.CheckAsync("mail", "clock"));
        Assert.Matches("(?m)^mail +failed Not finished within 1 s", installation.Text);
        Assert.Matches("(?m)^clock +fine ", installation.Text);
    }

    // Vancouver gave up changing its clocks in 2026; the machine's zone files are stood in for by Los Angeles, which did not.
    [Fact]
    public async Task Zone_files_of_the_machine_that_differ_are_told_with_the_day_they_differ_from()
    {
        await using CheckedInstallation installation = CheckedInstallation.Make();
        installation.Replace("Europe/Berlin", "America/Vancouver");
        installation.Surroundings = installation.Surroundings with { SystemZones = new OldZones() };
        installation.SetClock(new DateTimeOffset(2026, 9, 1, 12, 0, 0, TimeSpan.Zero));
        Assert.Equal(0, await installation.CheckAsync("zones"));
        Assert.Matches(@"(?m)^zones +look +America/Vancouver: from 2026-11-01 on this machine's zone files say -08, the program's -07\..*tzdata", installation.Text);
    }

    private sealed class OldZones : IDateTimeZoneProvider
    {
        public string VersionId => "old";

        public System.Collections.ObjectModel.ReadOnlyCollection<string> Ids => DateTimeZoneProviders.Tzdb.Ids;

        public DateTimeZone this[string id] => GetZoneOrNull(id)!;

        public DateTimeZone GetSystemDefault() => DateTimeZone.Utc;

        public DateTimeZone? GetZoneOrNull(string id) => DateTimeZoneProviders.Tzdb["America/Los_Angeles"];
    }
}
