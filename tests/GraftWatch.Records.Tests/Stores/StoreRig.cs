namespace GraftWatch.Records.Tests.Stores;

/// <summary>One store of its own for a test: opened, closed and opened again as the test likes.</summary>
public abstract class StoreRig : IAsyncDisposable
{
    /// <summary>Opens the store; each call gives a program of its own on the same data.</summary>
    public abstract Task<RecordsStore> OpenAsync(TimeProvider? clock = null);

    public abstract ValueTask DisposeAsync();
}

/// <summary>A file in a folder of its own.</summary>
public sealed class SqliteRig : StoreRig
{
    public SqliteRig()
    {
        Folder = Directory.CreateTempSubdirectory("graftwatch-store-").FullName;
        File = Path.Combine(Folder, "store.db");
    }

    public string Folder { get; }

    public string File { get; }

    public override async Task<RecordsStore> OpenAsync(TimeProvider? clock = null) =>
        await SqliteStore.OpenAsync(File, new SqliteStoreOptions { Clock = clock ?? TimeProvider.System }, TestContext.Current.CancellationToken);

    public override ValueTask DisposeAsync()
    {
        Directory.Delete(Folder, recursive: true);
        return ValueTask.CompletedTask;
    }
}
