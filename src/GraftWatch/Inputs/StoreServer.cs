using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Secrets;
using Npgsql;

namespace GraftWatch.Inputs;

/// <summary>The PostgreSQL server that the table [store] names.</summary>
internal static class StoreServer
{
    /// <summary>The connection string with the password; null when the password cannot be had.</summary>
    /// <param name="store">The settings.</param>
    /// <param name="environment">Reads an environment variable.</param>
    /// <param name="trouble">Why the password cannot be had; empty when all is well.</param>
    internal static string? Address(StoreSettings store, Func<string, string?> environment, out string trouble)
    {
        Secret password = SecretSource.FindStorePassword(store, environment);
        trouble = password.Trouble ?? string.Empty;
        return trouble.Length > 0 ? null : new NpgsqlConnectionStringBuilder
        {
            Host = store.Host,
            Port = store.Port,
            Database = store.Database,
            Username = store.User,
            Password = password.Value,
            SslMode = store.Tls ? SslMode.VerifyFull : SslMode.Disable,
            Timeout = 10,
        }.ConnectionString;
    }

    /// <summary>The server without any secret.</summary>
    internal static string Words(StoreSettings store) => $"PostgreSQL database {store.Database} at {store.Host}:{store.Port}";
}
