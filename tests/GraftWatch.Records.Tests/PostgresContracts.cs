using GraftWatch.Records.Tests.Contracts;
using GraftWatch.Records.Tests.Stores;
using Npgsql;

namespace GraftWatch.Records.Tests;

public sealed class PostgresLedgerTests : LedgerContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new PostgresRig());

    protected override async Task DamageAsync(string grower)
    {
        await using var connection = new NpgsqlConnection(((PostgresRig)Rig).ConnectionString);
        await connection.OpenAsync(Stop);
        await using var command = new NpgsqlCommand("ALTER TABLE letter DISABLE TRIGGER ALL", connection);
        await command.ExecuteNonQueryAsync(Stop);
        command.CommandText = "UPDATE letter SET bytes = set_byte(bytes, 20, get_byte(bytes, 20) # 1) WHERE grower_id = (SELECT id FROM grower WHERE name = @name)";
        command.Parameters.AddWithValue("@name", grower);
        Assert.Equal(1, await command.ExecuteNonQueryAsync(Stop));
    }
}

public sealed class PostgresShelfTests : ShelfContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new PostgresRig());
}

public sealed class PostgresRegisterTests : RegisterContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new PostgresRig());
}

public sealed class PostgresSaidMemoryTests : SaidMemoryContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new PostgresRig());
}

public sealed class PostgresClaimsTests : ClaimsContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new PostgresRig());
}

public sealed class PostgresWeatherTests : WeatherContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new PostgresRig());
}

public sealed class PostgresBookTests : BookContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new PostgresRig());
}

public sealed class PostgresArchiveTests : ArchiveContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new PostgresRig());
}

public sealed class PostgresHousekeepingTests : HousekeepingContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new PostgresRig());
}

public sealed class PostgresHistoryTests : HistoryContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new PostgresRig());
}

public sealed class PostgresPeopleTests : PeopleContract
{
    protected override Task<StoreRig> MakeRigAsync() => Task.FromResult<StoreRig>(new PostgresRig());
}
