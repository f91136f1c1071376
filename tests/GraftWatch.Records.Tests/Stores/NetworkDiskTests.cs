using GraftWatch.Records.Inspection;

namespace GraftWatch.Records.Tests.Stores;

public sealed class NetworkDiskTests : IAsyncLifetime
{
    private readonly SqliteRig rig = new();

    public ValueTask InitializeAsync() => ValueTask.CompletedTask;

    public ValueTask DisposeAsync() => rig.DisposeAsync();

    // SQLite documentation, "Write-Ahead Logging": all processes must be on one host; WAL does not work over a network file system.
    [Theory]
    [InlineData("nfs4", true)]
    [InlineData("cifs", true)]
    [InlineData("smb3", true)]
    [InlineData("fuse.sshfs", true)]
    [InlineData("ceph", true)]
    [InlineData("9p", true)]
    [InlineData("ext4", false)]
    [InlineData("btrfs", false)]
    [InlineData("tmpfs", false)]
    [InlineData("apfs", false)]
    public async Task A_store_on_a_network_share_is_refused_before_anything_is_written(string kind, bool refused)
    {
        var options = new SqliteStoreOptions { Disk = new DiskFacts(_ => kind, _ => 1L << 40) };
        if (!refused)
        {
            await (await SqliteStore.OpenAsync(rig.File, options, TestContext.Current.CancellationToken)).DisposeAsync();
            return;
        }

        var failure = await Assert.ThrowsAsync<StoreRefusedException>(() => SqliteStore.OpenAsync(rig.File, options, TestContext.Current.CancellationToken));
        Assert.Equal(StoreRefusal.NetworkDisk, failure.Refusal);
        Assert.Matches($@"store.db lies on a network share \({kind}\).*Put the store on a local disk, or use PostgreSQL", failure.Message);
        Assert.Empty(Directory.GetFiles(rig.Folder));
    }
}
