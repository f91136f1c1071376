namespace GraftWatch.Records.Tests.Stores;

/// <summary>What holds for every store, whichever database is behind it.</summary>
public abstract class StoreContract : IAsyncLifetime
{
    private StoreRig? rig;
    private string? temporary;

    protected StoreRig Rig => rig!;

    protected RecordsStore Store { get; private set; } = null!;

    /// <summary>A folder for files of the test; it goes with the test.</summary>
    protected string Folder => temporary ??= Directory.CreateTempSubdirectory("graftwatch-test-").FullName;

    protected static CancellationToken Stop => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync()
    {
        rig = await MakeRigAsync();
        Store = await rig.OpenAsync();
    }

    public async ValueTask DisposeAsync()
    {
        if (Store is not null)
        {
            await Store.DisposeAsync();
        }

        if (rig is not null)
        {
            await rig.DisposeAsync();
        }

        if (temporary is not null)
        {
            Directory.Delete(temporary, recursive: true);
        }

        GC.SuppressFinalize(this);
    }

    /// <summary>Ends this program and starts another on the same data.</summary>
    protected async Task ReopenAsync()
    {
        await Store.DisposeAsync();
        Store = await Rig.OpenAsync();
    }

    protected abstract Task<StoreRig> MakeRigAsync();
}
