using System.Text.Json;
using System.Text.Json.Nodes;
using GraftWatch.Records.Archive;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class ArchiveContract : StoreContract
{
    private static readonly Instant Later = Sample.Morning + Duration.FromDays(3);
    private static readonly LocalDate Resume = Sample.Day.PlusDays(4);

    [Fact]
    public async Task Export_import_and_export_again_gives_the_same_bytes()
    {
        await FilledStore.FillAsync(Store, Stop);
        byte[] first = await ExportAsync("a.json");
        Assert.Equal(first, await ExportAsync("again.json"));

        await using StoreRig otherRig = await MakeRigAsync();
        RecordsStore other = await otherRig.OpenAsync();
        await using (other)
        {
            Assert.Equal(new ArchiveCounts(2, 2, 2, 6), await other.Archive.ImportAsync(PathOf("a.json"), null, Later, Stop));
            await other.Archive.ExportAsync(PathOf("b.json"), Stop);
            Assert.Equal(first, await File.ReadAllBytesAsync(PathOf("b.json"), Stop));
            Assert.Equal(2, await other.Ledger.NextNumberAsync(Sample.Grower, Stop));
            Assert.False(await other.Ledger.SealAsync(Sample.Letter(number: 2), Stop));
            Assert.NotNull(await other.Keeper.ObserveAsync(Sample.Grower, new("B3-07", Later, Aftercare.Grafts.ObservationKind.Dead), "dead", Later, Stop));
        }
    }

    [Fact]
    public async Task An_archive_moves_between_the_databases()
    {
        await FilledStore.FillAsync(Store, Stop);
        byte[] first = await ExportAsync("a.json");
        await using var rig = new SqliteRig();
        RecordsStore other = await rig.OpenAsync();
        await using (other)
        {
            await other.Archive.ImportAsync(PathOf("a.json"), null, Later, Stop);
            await other.Archive.ExportAsync(PathOf("b.json"), Stop);
        }

        Assert.Equal(first, await File.ReadAllBytesAsync(PathOf("b.json"), Stop));
    }

    [Fact]
    public async Task Of_letters_that_were_let_go_an_archive_keeps_size_and_hash()
    {
        await FilledStore.FillAsync(Store, Stop);
        LetterSlot next = Sample.Slot(date: Sample.Day.PlusDays(1));
        await Store.Ledger.SealAsync(Sample.Letter(next, 2), Stop);
        await Store.Ledger.RecordTryAsync(next, DeliveryResult.Accepted("250"), Later, Stop);
        long size = (await Store.Ledger.FindAsync(Sample.Slot(), Stop))!.Letter.Bytes.Length;
        Assert.Equal(1, (await Store.House.TidyAsync(Sample.Day.PlusDays(90), Housekeeping.Retention.Usual, [], Stop)).LetGo);
        byte[] first = await ExportAsync("a.json");
        await using StoreRig otherRig = await MakeRigAsync();
        RecordsStore other = await otherRig.OpenAsync();
        await using (other)
        {
            await other.Archive.ImportAsync(PathOf("a.json"), null, Later, Stop);
            await other.Archive.ExportAsync(PathOf("b.json"), Stop);
            Assert.Equal(first, await File.ReadAllBytesAsync(PathOf("b.json"), Stop));
            Assert.Equal(size, (await other.Ledger.FindAsync(Sample.Slot(), Stop))!.Letter.BytesLetGo);
        }

        string wrong = Change(await File.ReadAllTextAsync(PathOf("a.json"), Stop), root =>
            root["growers"]!.AsArray().SelectMany(grower => grower!["letters"]!.AsArray()).First(letter => letter!["letGo"] is not null)!["state"] = "waiting");
        await File.WriteAllTextAsync(PathOf("wrong.json"), wrong, Stop);
        await using StoreRig thirdRig = await MakeRigAsync();
        RecordsStore third = await thirdRig.OpenAsync();
        await using (third)
        {
            await Assert.ThrowsAsync<ArchiveRefusedException>(() => third.Archive.ImportAsync(PathOf("wrong.json"), null, Later, Stop));
        }
    }

    // What a program before channels and wishes wrote: the same document without the fields that came later.
    [Fact]
    public async Task An_archive_of_the_first_version_is_read_with_usual_wishes_and_letters_by_mail()
    {
        await FilledStore.FillAsync(Store, Stop);
        await Store.Stops.ResumeAsync("Bo Reed", Stop);
        await ExportAsync("a.json");
        string first = Change(await File.ReadAllTextAsync(PathOf("a.json"), Stop), root =>
        {
            root["version"] = 1;
            foreach (JsonNode? grower in root["growers"]!.AsArray())
            {
                grower!.AsObject().Remove("stop");
                (grower["detail"] as JsonObject)?.Remove("wishes");
                JsonArray letters = grower["letters"]!.AsArray();
                foreach (JsonNode? letter in letters.ToArray())
                {
                    if ((string?)letter!["channel"] != "mail")
                    {
                        letters.Remove(letter);
                    }

                    letter.AsObject().Remove("channel");
                    letter.AsObject().Remove("usefulUntil");
                }
            }
        });
        await File.WriteAllTextAsync(PathOf("first.json"), first, Stop);
        await using StoreRig otherRig = await MakeRigAsync();
        RecordsStore other = await otherRig.OpenAsync();
        await using (other)
        {
            Assert.Equal(new ArchiveCounts(2, 2, 1, 6), await other.Archive.ImportAsync(PathOf("first.json"), null, Later, Stop));
            Assert.Equal(LetterSlot.Mail, Assert.Single(await other.Ledger.LoadOccasionAsync(Sample.Slot(), Stop)).Letter.Slot.Channel);
            Assert.Equal(new Rounds.Urgent.UrgentWishes(), Assert.Single(await other.Book.LoadGrowersAsync(Stop)).Wishes);
        }
    }

    [Fact]
    public async Task Waiting_letters_of_an_archive_are_not_sent_again_and_say_why()
    {
        await FilledStore.FillAsync(Store, Stop, leaveOneWaiting: true);
        await ExportAsync("a.json");
        await using StoreRig otherRig = await MakeRigAsync();
        RecordsStore other = await otherRig.OpenAsync();
        await using (other)
        {
            await other.Archive.ImportAsync(PathOf("a.json"), Resume, Later, Stop);
            Assert.Empty(await other.Ledger.LoadWaitingAsync(Stop));
            Assert.True((await other.Ledger.LookAsync(Sample.Grower, Resume.PlusDays(-1), LetterKind.Morning, Stop)).IsClosed);
            Assert.False((await other.Ledger.LookAsync(Sample.Grower, Resume, LetterKind.Morning, Stop)).IsClosed);
            Assert.False(await other.Ledger.SealAsync(Sample.Letter(Sample.Slot(date: Resume.PlusDays(-1)), 3), Stop));
            Assert.True(await other.Ledger.SealAsync(Sample.Letter(Sample.Slot(date: Resume), 3), Stop));
            LedgerEntry urgent = (await other.Ledger.FindAsync(Sample.Slot(kind: LetterKind.Urgent), Stop))!;
            Assert.Equal((LetterState.GivenUp, "not sent: restored", Later), (urgent.State, urgent.LastDetail, urgent.LastTryAt));
        }
    }

    [Fact]
    public async Task Moving_a_stopped_store_keeps_its_waiting_letters()
    {
        await FilledStore.FillAsync(Store, Stop, leaveOneWaiting: true);
        byte[] first = await ExportAsync("a.json");
        await using StoreRig otherRig = await MakeRigAsync();
        RecordsStore other = await otherRig.OpenAsync();
        await using (other)
        {
            await other.Archive.ImportAsync(PathOf("a.json"), null, Later, Stop);
            Assert.Single(await other.Ledger.LoadWaitingAsync(Stop));
            await other.Archive.ExportAsync(PathOf("b.json"), Stop);
        }

        Assert.Equal(first, await File.ReadAllBytesAsync(PathOf("b.json"), Stop));
    }

    [Fact]
    public async Task A_store_that_is_not_empty_takes_no_archive()
    {
        await FilledStore.FillAsync(Store, Stop);
        byte[] before = await ExportAsync("a.json");
        var refused = await Assert.ThrowsAsync<ArchiveRefusedException>(() => Store.Archive.ImportAsync(PathOf("a.json"), Resume, Later, Stop));
        Assert.Contains("not empty", refused.Message, StringComparison.Ordinal);
        Assert.Equal(before, await ExportAsync("b.json"));
    }

    [Fact]
    public async Task An_empty_store_gives_an_archive_that_can_be_imported()
    {
        await ExportAsync("a.json");
        Assert.Equal(new ArchiveCounts(0, 0, 0, 0), await Store.Archive.ImportAsync(PathOf("a.json"), Resume, Later, Stop));
    }

    [Fact]
    public async Task The_secret_of_the_installation_is_in_no_archive()
    {
        await FilledStore.FillAsync(Store, Stop);
        string secret = Convert.ToHexStringLower(await Store.Notes.LoadSecretAsync(Stop));
        await ExportAsync("a.json");
        Assert.DoesNotContain(secret, await File.ReadAllTextAsync(PathOf("a.json"), Stop), StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task An_archive_with_any_part_broken_changes_nothing_and_is_answered_with_a_sentence()
    {
        await FilledStore.FillAsync(Store, Stop);
        await ExportAsync("a.json");
        string good = await File.ReadAllTextAsync(PathOf("a.json"), Stop);
        (string What, string Text)[] broken =
        [
            ("cut short", good[..(good.Length / 2)]),
            ("empty", string.Empty),
            ("null", "null"),
            ("another document", "{\"format\":\"other\",\"version\":1,\"places\":[],\"growers\":[],\"series\":[],\"weather\":[],\"jobs\":[],\"tallies\":[]}"),
            ("later version", good.Replace("\"version\": 3", "\"version\": 4", StringComparison.Ordinal)),
            ("unknown field", good.Replace("\"format\"", "\"colour\": 1, \"format\"", StringComparison.Ordinal)),
            ("missing field", Change(good, root => root.AsObject().Remove("jobs"))),
            ("doubled field", good.Replace("\"version\": 3", "\"version\": 3, \"version\": 3", StringComparison.Ordinal)),
            ("unknown word", good.Replace("\"whip-and-tongue\"", "\"magic\"", StringComparison.Ordinal)),
            ("unknown zone", good.Replace("Europe/Berlin", "Europe/Nowhere", StringComparison.Ordinal)),
            ("bad instant", good.Replace("2027-05-14T04:30:00Z", "yesterday", StringComparison.Ordinal)),
            ("hours missing", Change(good, root => root["weather"]![0]!["columns"]![0]!["values"]!.AsArray().RemoveAt(0))),
            ("two grafts of one slot", Change(good, root => root["growers"]![0]!["letters"]!.AsArray().Add(root["growers"]![0]!["letters"]![0]!.DeepClone()))),
            ("bytes that are no base64", Change(good, root => root["growers"]![0]!["letters"]![0]!["bytes"] = "*")),
        ];

        await using StoreRig otherRig = await MakeRigAsync();
        RecordsStore other = await otherRig.OpenAsync();
        await using (other)
        {
            foreach ((string what, string text) in broken)
            {
                Assert.True(text != good, what);
                await File.WriteAllTextAsync(PathOf("bad.json"), text, Stop);
                var refused = await Assert.ThrowsAsync<ArchiveRefusedException>(() => other.Archive.ImportAsync(PathOf("bad.json"), Resume, Later, Stop));
                Assert.Contains("bad.json", refused.Message, StringComparison.Ordinal);
            }

            await Assert.ThrowsAsync<ArchiveRefusedException>(() => other.Archive.ImportAsync(PathOf("absent.json"), Resume, Later, Stop));
            Assert.Equal(new ArchiveCounts(2, 2, 2, 6), await other.Archive.ImportAsync(PathOf("a.json"), Resume, Later, Stop));
        }
    }

    [Fact]
    public async Task An_export_that_cannot_be_finished_leaves_the_old_file()
    {
        await File.WriteAllTextAsync(PathOf("a.json"), "old", Stop);
        await Store.DisposeAsync();
        await Assert.ThrowsAnyAsync<Exception>(() => Store.Archive.ExportAsync(PathOf("a.json"), Stop));
        Assert.Equal("old", await File.ReadAllTextAsync(PathOf("a.json"), Stop));
        Assert.Single(Directory.GetFiles(Folder));
    }

    private static string Change(string json, Action<JsonNode> change)
    {
        JsonNode root = JsonNode.Parse(json)!;
        change(root);
        return root.ToJsonString(new JsonSerializerOptions { WriteIndented = false });
    }

    private async Task<byte[]> ExportAsync(string name)
    {
        await Store.Archive.ExportAsync(PathOf(name), Stop);
        return await File.ReadAllBytesAsync(PathOf(name), Stop);
    }

    private string PathOf(string name) => Path.Combine(Folder, name);
}
