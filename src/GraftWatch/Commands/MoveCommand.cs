using System.CommandLine;
using System.Globalization;
using GraftWatch.CommandLine;
using GraftWatch.Inputs;
using GraftWatch.Records;
using GraftWatch.Records.Backups;
using GraftWatch.Records.Moving;
using GraftWatch.Serving;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Commands;

/// <summary>Moves the file store into PostgreSQL, or as a file to another machine.</summary>
internal static class MoveCommand
{
    internal static Command Build(Terminal terminal)
    {
        Option<string?> config = SharedOptions.Config();
        var to = new Option<string?>("--to") { Description = "A file for another machine, instead of the PostgreSQL database of the settings.", HelpName = "FILE" };
        var keep = new Option<bool>("--keep-serving-source") { Description = "The file store goes on sending letters; the database is a copy that sends none of them." };
        var command = new Command("move", "Move the file store into the PostgreSQL database that [store] names, compared row by row; the file is not served afterwards. May be run again after a kill.") { config, to, keep };
        command.SetAction((parsed, cancellationToken) => RunAsync(terminal, parsed.GetValue(config), parsed.GetValue(to), parsed.GetValue(keep), cancellationToken));
        return command;
    }

    private static async Task<int> RunAsync(Terminal terminal, string? config, string? to, bool keep, CancellationToken cancellationToken)
    {
        if (Installation.Load(terminal, config, out IReadOnlyList<string> faults) is not { } settings)
        {
            return terminal.Refuse(faults);
        }

        GraftWatchSettings installation = settings.Current.Installation;
        if (to is not null && keep)
        {
            return terminal.Refuse(["A file that is only a copy is made by graftwatch backup --to FILE."]);
        }

        if (to is null && installation.Store.Kind == StoreKind.Sqlite)
        {
            return terminal.Refuse([$"{installation.File}: [store] names no PostgreSQL database to move to. Write kind = \"postgresql\" and its host, database and user there; or name a file for another machine with --to."]);
        }

        try
        {
            return to is null
                ? await ToServerAsync(terminal, settings.Current, keep, cancellationToken).ConfigureAwait(false)
                : await ToFileAsync(terminal, installation, terminal.PathOf(to), cancellationToken).ConfigureAwait(false);
        }
        catch (Exception refused) when (refused is StoreRefusedException or MoveFailedException or BackupFailedException)
        {
            await terminal.Messages.WriteLineAsync(refused.Message).ConfigureAwait(false);
            return ExitCode.Failed;
        }
    }

    private static async Task<int> ToServerAsync(Terminal terminal, ServeSettings settings, bool keep, CancellationToken cancellationToken)
    {
        string? address = StoreServer.Address(settings.Installation.Store, Environment.GetEnvironmentVariable, out string trouble);
        if (address is null)
        {
            return terminal.Refuse([trouble]);
        }

        var options = new StoreMoveOptions
        {
            Clock = terminal.Clock,
            KeepServingSource = keep,
            FirstLetterDate = FirstDay.After(settings.Morning.Growers, terminal.Now()),
            Progress = (table, there, all) =>
            {
                if (there == all)
                {
                    terminal.Messages.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{table}: {all} rows"));
                }
            },
        };
        StoreMoveReport report = await new StoreMove(ServeSettings.StorePath(settings.Installation), address, options).RunAsync(cancellationToken).ConfigureAwait(false);
        string after = keep
            ? $"The file store goes on; of the copy {report.LettersGivenUp} waiting letters and today's are not sent."
            : "The file store is not served any more; start serve.";
        await terminal.Results.WriteLineAsync($"{report.Target}: {report.Rows} rows, hash {report.Hash}, the same on both sides. {after}").ConfigureAwait(false);
        return ExitCode.Fine;
    }

    private static async Task<int> ToFileAsync(Terminal terminal, GraftWatchSettings installation, string file, CancellationToken cancellationToken)
    {
        string source = ServeSettings.StorePath(installation);
        if (!File.Exists(source))
        {
            return terminal.Refuse([$"There is no store at {source}."]);
        }

        if (File.Exists(file))
        {
            return terminal.Refuse([$"{file}: There is a file already. Name another."]);
        }

        using StoreLock held = StoreLock.Take(source);
        SqliteStore store = await SqliteStore.OpenAsync(source, new SqliteStoreOptions { Clock = terminal.Clock }, cancellationToken).ConfigureAwait(false);
        await using (store.ConfigureAwait(false))
        {
            if (await store.Notes.WhyNotServedAsync(cancellationToken).ConfigureAwait(false) is { } why)
            {
                await terminal.Messages.WriteLineAsync(why).ConfigureAwait(false);
                return ExitCode.Failed;
            }

            BackupProof proof = await Backup.MakeAsync(store, file, cancellationToken).ConfigureAwait(false);
            await store.Notes.SealAsync("the file " + file, CancellationToken.None).ConfigureAwait(false);
            await terminal.Results.WriteLineAsync($"{proof.Path}: {proof.Rows} rows, {proof.Bytes} bytes, sha256 {proof.Sha256}, opened and compared row by row. Put it on the other machine as graftwatch.db into data_folder; the store here is not served any more.").ConfigureAwait(false);
            return ExitCode.Fine;
        }
    }
}
