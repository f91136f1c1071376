using GraftWatch.CommandLine;
using GraftWatch.Records;
using GraftWatch.Serving;
using GraftWatch.Settings;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Inputs;

/// <summary>Opens what graftwatch.toml describes, for commands that work on an installation.</summary>
internal static class Installation
{
    internal const string UsualFolder = "config";

    /// <summary>Reads the settings of a folder: the one named, else <c>config</c> where the command was started.</summary>
    internal static SettingsInForce? Load(Terminal terminal, string? config, out IReadOnlyList<string> faults)
    {
        string folder = terminal.PathOf(config ?? UsualFolder);
        if (!File.Exists(Path.Combine(folder, SettingsLoader.InstallationName)))
        {
            faults = [$"{folder}: There is no {SettingsLoader.InstallationName} here. Name the folder with --config, or let graftwatch serve --first-start ask for what it needs."];
            return null;
        }

        return SettingsInForce.Load(folder, out faults);
    }

    /// <summary>Opens the store that the settings choose; a refusal becomes a sentence.</summary>
    internal static async Task<(RecordsStore? Store, string Trouble)> OpenStoreAsync(
        GraftWatchSettings installation, TimeProvider clock, bool checkForDamage, CancellationToken cancellationToken)
    {
        try
        {
            if (installation.Store.Kind == StoreKind.Postgresql)
            {
                string? address = StoreServer.Address(installation.Store, Environment.GetEnvironmentVariable, out string trouble);
                return address is null
                    ? (null, trouble)
                    : (await PostgresStore.OpenAsync(address, clock, cancellationToken).ConfigureAwait(false), string.Empty);
            }

            var options = new SqliteStoreOptions { Clock = clock, CheckForDamage = checkForDamage };
            return (await SqliteStore.OpenAsync(ServeSettings.StorePath(installation), options, cancellationToken).ConfigureAwait(false), string.Empty);
        }
        catch (StoreRefusedException refused)
        {
            return (null, refused.Message);
        }
    }

    /// <summary>Where the store is, in words.</summary>
    internal static string WhereStore(GraftWatchSettings installation) => installation.Store.Kind == StoreKind.Postgresql
        ? StoreServer.Words(installation.Store)
        : ServeSettings.StorePath(installation);
}
