using GraftWatch.Records.Tests.Contracts;
using GraftWatch.Records.Tests.Stores;
using Microsoft.Data.Sqlite;

namespace GraftWatch.Records.Tests;

public sealed class SqliteLedgerTests : LedgerContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new SqliteRig());

    protected override Task DamageAsync(string grower)
    {
        using var connection = new SqliteConnection($"Data Source={((SqliteRig)Rig).File};Pooling=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
        command.CommandText = "DROP TRIGGER letter_bytes_stay; UPDATE letter_bytes SET bytes = CAST(replace(CAST(bytes AS TEXT), 'Shade 7', 'Shade 9') AS BLOB) WHERE letter_id IN (SELECT id FROM letter WHERE grower_id = (SELECT id FROM grower WHERE name = $name))";
        command.Parameters.AddWithValue("$name", grower);
        Assert.Equal(1, command.ExecuteNonQuery());
        return Task.CompletedTask;
    }
}

public sealed class SqliteShelfTests : ShelfContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new SqliteRig());
}

public sealed class SqliteRegisterTests : RegisterContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new SqliteRig());
}

public sealed class SqliteSaidMemoryTests : SaidMemoryContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new SqliteRig());
}

public sealed class SqliteClaimsTests : ClaimsContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new SqliteRig());
}

public sealed class SqliteWeatherTests : WeatherContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new SqliteRig());
}

public sealed class SqliteBookTests : BookContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new SqliteRig());
}

public sealed class SqliteArchiveTests : ArchiveContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new SqliteRig());
}

public sealed class SqliteHousekeepingTests : HousekeepingContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new SqliteRig());
}

public sealed class SqliteHistoryTests : HistoryContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new SqliteRig());
}

public sealed class SqliteFiguresTests : FiguresContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new SqliteRig());
}

public sealed class SqlitePeopleTests : PeopleContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new SqliteRig());
}

public sealed class SqliteAnswerBookTests : AnswerBookContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new SqliteRig());
}
