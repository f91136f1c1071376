using System.Globalization;
using System.Runtime.CompilerServices;
using GraftWatch.Commands;
using GraftWatch.Inputs;
using GraftWatch.Records;
using GraftWatch.Records.Backups;
using GraftWatch.Records.Inspection;
using GraftWatch.Serving;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Checks;

/// <summary>The store: there, whole, of this program's schema, writable, with room for tomorrow, and copied lately. Nothing in it is changed.</summary>
internal sealed class StoreCheck : ICheck
{
    public string Subject => "store";

    public async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        GraftWatchSettings installation = scope.Installation;
        (StoreFindings? found, CheckLine? refused) = await LookAsync(scope, installation, cancellationToken).ConfigureAwait(false);
        if (found is null)
        {
            yield return refused!;
            yield break;
        }

        scope.IsServing = installation.Store.Kind == StoreKind.Sqlite ? found.Sender.Length > 0 : null;
        yield return Found(installation, found);
        foreach ((string what, string mend) in found.Remarks)
        {
            yield return new CheckLine(Subject, CheckVerdict.Look, what, mend);
        }

        if (found.FreeBytes is { } free)
        {
            yield return Room(scope, found, free);
        }

        if (found.Exists && installation.Store.Kind == StoreKind.Sqlite)
        {
            yield return Copies(scope);
        }
    }

    /// <summary>Looks at the store, without changing it.</summary>
    internal static async Task<(StoreFindings? Found, CheckLine? Refused)> LookAsync(CheckScope scope, GraftWatchSettings installation, CancellationToken cancellationToken)
    {
        try
        {
            if (installation.Store.Kind == StoreKind.Sqlite)
            {
                return (await StoreInspection.LookAsync(ServeSettings.StorePath(installation), scope.Surroundings.Disk, cancellationToken).ConfigureAwait(false), null);
            }

            string? address = StoreServer.Address(installation.Store, scope.Surroundings.Environment, out string trouble);
            return address is null
                ? (null, new CheckLine("store", CheckVerdict.Wrong, "store.password_file: " + trouble))
                : (await StoreInspection.LookAtServerAsync(address, cancellationToken).ConfigureAwait(false), null);
        }
        catch (StoreRefusedException refused)
        {
            string setting = installation.Store.Kind == StoreKind.Sqlite ? "data_folder: " : "[store]: ";
            return (null, new CheckLine("store", CheckVerdict.Failed, setting + InstallationCheck.OneLine(refused.Message)));
        }
        catch (Exception unreadable) when (unreadable is IOException or UnauthorizedAccessException)
        {
            return (null, new CheckLine("store", CheckVerdict.Failed, "data_folder: " + InstallationCheck.OneLine(unreadable.Message), "Look at the folder's owner and at the disk."));
        }
    }

    private CheckLine Found(GraftWatchSettings installation, StoreFindings found)
    {
        string where = Installation.WhereStore(installation);
        if (!found.Exists)
        {
            return new CheckLine(Subject, CheckVerdict.Fine, $"{where}: not there yet; the first command that needs it makes it.");
        }

        if (found.MovedTo.Length > 0)
        {
            return new CheckLine(Subject, CheckVerdict.Failed, $"{where}: its contents were moved to {found.MovedTo}; serve does not start on it.", "Name the new store in the table [store] of graftwatch.toml.");
        }

        string kind = $"{found.Version}, {found.Journal}, {DiskRoom.Size(found.Bytes)}{(installation.Store.Kind == StoreKind.Sqlite ? ", quick check passed" : string.Empty)}";
        if (!found.IsCurrent)
        {
            return new CheckLine(Subject, CheckVerdict.Fine, $"{where}: {kind}; schema step {found.Step} of {found.KnownSteps}. The next start of serve copies it and brings it up to date.");
        }

        string sender = found.Sender.Length > 0 ? $"; serve works with it (process {found.Sender})" : string.Empty;
        return new CheckLine(Subject, CheckVerdict.Fine, $"{where}: {kind}, schema step {found.Step}{sender}.");
    }

    private CheckLine Room(CheckScope scope, StoreFindings found, long free)
    {
        var room = new DiskRoom(free, DiskRoom.Needed(found.Bytes, found.LetterBytesADay));
        return room.IsEnough
            ? new CheckLine(Subject, CheckVerdict.Fine, $"{DiskRoom.Size(free)} free; until tomorrow {DiskRoom.Size(room.NeededBytes)} may be needed.")
            : new CheckLine(Subject, CheckVerdict.Failed, $"data_folder: only {DiskRoom.Size(free)} free on the disk of {scope.Installation.DataFolder}; until tomorrow {DiskRoom.Size(room.NeededBytes)} may be needed.", "Make room, or move data_folder to a larger disk.");
    }

    private CheckLine Copies(CheckScope scope)
    {
        string folder = BackupCommand.ShelfOf(scope.Settings);
        LocalDate today = scope.Terminal.Now().InUtc().Date;
        return new BackupShelf(folder).Dates() is [.., var newest]
            ? Period.DaysBetween(newest, today) <= 2
                ? new CheckLine(Subject, CheckVerdict.Fine, string.Create(CultureInfo.InvariantCulture, $"The newest proven copy is of {newest:uuuu-MM-dd}, in {folder}."))
                : new CheckLine(Subject, CheckVerdict.Look, string.Create(CultureInfo.InvariantCulture, $"The newest copy in {folder} is of {newest:uuuu-MM-dd}."), "serve makes one a day while it runs; look at its log, or run graftwatch backup.")
            : new CheckLine(Subject, CheckVerdict.Look, $"There is no copy of the store in {folder} yet.", "serve makes one a day; graftwatch backup makes one now.");
    }
}
