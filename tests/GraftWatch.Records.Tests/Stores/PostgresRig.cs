using GraftWatch.Testing;

namespace GraftWatch.Records.Tests.Stores;

/// <summary>A database of its own on the tests' server.</summary>
public sealed class PostgresRig : StoreRig
{
    public PostgresRig() => ConnectionString = PostgresServer.SharedOrSkip().CreateDatabase();

    public string ConnectionString { get; }

    public override async Task<RecordsStore> OpenAsync(TimeProvider? clock = null) =>
        await PostgresStore.OpenAsync(ConnectionString, clock ?? TimeProvider.System, TestContext.Current.CancellationToken);

    public override ValueTask DisposeAsync() => ValueTask.CompletedTask;
}
