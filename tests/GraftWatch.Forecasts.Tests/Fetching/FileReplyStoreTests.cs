using GraftWatch.Forecasts.Fetching;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.Fetching;

public sealed class FileReplyStoreTests : IDisposable
{
    private static readonly KeptReply Reply = new(
        "api.met.no 60.123 9.583 496", "{\n1}"u8.ToArray(), "\"tag\"", "Wed, 22 Apr 2026 03:12:40 GMT", Instant.FromUtc(2026, 4, 22, 5, 0), Instant.FromUtc(2026, 4, 22, 4, 30, 1) + Duration.FromNanoseconds(5));

    private readonly string folder = Path.Combine(Path.GetTempPath(), Path.GetRandomFileName());

    public void Dispose()
    {
        if (Directory.Exists(folder))
        {
            Directory.Delete(folder, recursive: true);
        }
    }

    [Fact]
    public async Task A_reply_comes_back_to_the_last_bit_after_a_restart_and_a_later_one_takes_its_place()
    {
        await new FileReplyStore(folder).SaveAsync(Reply, TestContext.Current.CancellationToken);
        KeptReply got = (await new FileReplyStore(folder).FindAsync(Reply.Key, TestContext.Current.CancellationToken))!;
        Assert.Equal(Reply with { Body = default }, got with { Body = default });
        Assert.Equal(Reply.Body.ToArray(), got.Body.ToArray());
        KeptReply bare = new(Reply.Key, default, null, null, null, Reply.FetchedAt);
        await new FileReplyStore(folder).SaveAsync(bare, TestContext.Current.CancellationToken);
        got = (await new FileReplyStore(folder).FindAsync(Reply.Key, TestContext.Current.CancellationToken))!;
        Assert.Equal((null, null, null, 0), (got.ETag, got.LastModified, got.Expires, got.Body.Length));
        Assert.Single(Directory.GetFiles(folder));
    }

    [Fact]
    public async Task A_file_cut_anywhere_in_its_head_or_of_another_key_counts_as_not_kept()
    {
        var store = new FileReplyStore(folder);
        await store.SaveAsync(Reply, TestContext.Current.CancellationToken);
        string path = Assert.Single(Directory.GetFiles(folder));
        byte[] whole = await File.ReadAllBytesAsync(path, TestContext.Current.CancellationToken);
        for (int length = 0; length < whole.Length - Reply.Body.Length; length++)
        {
            await File.WriteAllBytesAsync(path, whole[..length], TestContext.Current.CancellationToken);
            Assert.Null(await store.FindAsync(Reply.Key, TestContext.Current.CancellationToken));
        }

        Assert.Null(await store.FindAsync("another", TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task A_folder_that_cannot_be_written_costs_nothing_but_the_memory()
    {
        await File.WriteAllTextAsync(folder, "a file where the folder should be", TestContext.Current.CancellationToken);
        try
        {
            var store = new FileReplyStore(folder);
            await store.SaveAsync(Reply, TestContext.Current.CancellationToken);
            Assert.Null(await store.FindAsync(Reply.Key, TestContext.Current.CancellationToken));
        }
        finally
        {
            File.Delete(folder);
        }
    }
}
