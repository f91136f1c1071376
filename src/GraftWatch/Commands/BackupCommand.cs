using System.CommandLine;
using GraftWatch.CommandLine;
using GraftWatch.Inputs;
using GraftWatch.Records;
using GraftWatch.Records.Backups;
using GraftWatch.Serving;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Commands;

/// <summary>Copies the store while it works, and puts copies back.</summary>
internal static class BackupCommand
{
    internal static Command Build(Terminal terminal)
    {
        var to = new Option<string?>("--to") { Description = "Where the copy goes; left out, into backups in the data folder, where old ones are thinned out.", HelpName = "FILE" };
        Option<string?> config = SharedOptions.Config();
        var command = new Command("backup", "Copy the store, also while serve runs, and prove the copy.") { to, config };
        command.SetAction((parsed, cancellationToken) => BackupAsync(terminal, parsed.GetValue(to), parsed.GetValue(config), cancellationToken));
        return command;
    }

    internal static Command BuildRestore(Terminal terminal)
    {
        var from = new Argument<string>("FILE") { Description = "A copy made by backup." };
        Option<string?> config = SharedOptions.Config();
        var command = new Command("restore", "Put a copy in the place of the store. Stop serve first. No letter of before goes out again.") { from, config };
        command.SetAction((parsed, cancellationToken) => RestoreAsync(terminal, parsed.GetValue(from)!, parsed.GetValue(config), cancellationToken));
        return command;
    }

    /// <summary>Folder of the daily copies.</summary>
    internal static string ShelfOf(ServeSettings settings) => Path.Combine(settings.Installation.DataFolder, "backups");

    // A dump put back would hold letters that went out since; an archive taken in does not send them again.
    private static string ServerInstead(StoreSettings store, string does) =>
        $"The store is the {StoreServer.Words(store)}; this command {does} a store that is a file. Copy the database with the server's own tools (pg_dump, pg_basebackup). "
        + "\"export --archive FILE.json\" writes everything too, and \"import FILE.json\" takes it into an empty database without sending any letter again.";

    private static async Task<int> BackupAsync(Terminal terminal, string? to, string? config, CancellationToken cancellationToken)
    {
        OpenInstallation? open = await OpenInstallation.OpenWholeAsync(terminal, config, cancellationToken).ConfigureAwait(false);
        if (open is null)
        {
            return ExitCode.BadInput;
        }

        await using (open.ConfigureAwait(false))
        {
            if (open.Store is not SqliteStore file)
            {
                return terminal.Refuse([ServerInstead(open.Settings.Installation.Store, "copies")]);
            }

            try
            {
                LocalDate today = terminal.Now().InZone(open.Zone).Date;
                BackupProof proof = to is null
                    ? await new BackupShelf(ShelfOf(open.Settings)).KeepAsync(file, today, cancellationToken).ConfigureAwait(false)
                    : await Backup.MakeAsync(file, terminal.PathOf(to), cancellationToken).ConfigureAwait(false);
                await terminal.Results.WriteLineAsync($"{proof.Path}: {proof.Rows} rows, {proof.Bytes} bytes, sha256 {proof.Sha256}, opened and compared row by row.").ConfigureAwait(false);
                return ExitCode.Fine;
            }
            catch (BackupFailedException failure)
            {
                await terminal.Messages.WriteLineAsync(failure.Message).ConfigureAwait(false);
                return ExitCode.Failed;
            }
        }
    }

    private static async Task<int> RestoreAsync(Terminal terminal, string from, string? config, CancellationToken cancellationToken)
    {
        if (Installation.Load(terminal, config, out IReadOnlyList<string> faults) is not { } settings)
        {
            return terminal.Refuse(faults);
        }

        if (settings.Current.Installation.Store.Kind == StoreKind.Postgresql)
        {
            return terminal.Refuse([ServerInstead(settings.Current.Installation.Store, "puts copies back into")]);
        }

        string path = terminal.PathOf(from);
        if (!File.Exists(path))
        {
            return terminal.Refuse([$"{from}: There is no such file."]);
        }

        Instant now = terminal.Now();
        try
        {
            RestoreReport report = await Backup.RestoreAsync(
                path, ServeSettings.StorePath(settings.Current.Installation), FirstDay.After(settings.Current.Morning.Growers, now), now, cancellationToken).ConfigureAwait(false);
            string before = report.Before is { } kept ? $" The store of before is kept as {kept}." : string.Empty;
            await terminal.Results.WriteLineAsync($"The store is that of {from}. {report.LettersGivenUp} letters that were waiting then are not sent; the next letter is tomorrow's.{before}").ConfigureAwait(false);
            return ExitCode.Fine;
        }
        catch (Exception refused) when (refused is BackupFailedException or StoreRefusedException)
        {
            await terminal.Messages.WriteLineAsync(refused.Message).ConfigureAwait(false);
            return ExitCode.Failed;
        }
    }
}
