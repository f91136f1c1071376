using System.CommandLine;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.CommandLine;
using GraftWatch.Inputs;
using GraftWatch.Records.Archive;
using GraftWatch.Records.Register;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Commands;

/// <summary>Brings a register, or a whole archive, into the store.</summary>
internal static class ImportCommand
{
    internal static Command Build(Terminal terminal)
    {
        var file = new Argument<string>("FILE") { Description = "A register as CSV, or an archive as .json (only into an empty store)." };
        var replace = new Option<bool>("--replace") { Description = "Make the register exactly this file; without it, grafts that the file lacks stay." };
        Option<string?> grower = SharedOptions.Grower();
        Option<string?> config = SharedOptions.Config();
        var command = new Command("import", "Bring a register (CSV) or a whole archive (JSON) into the store.") { file, replace, grower, config };
        command.SetAction(async (parsed, cancellationToken) =>
        {
            string path = parsed.GetValue(file)!;
            bool isArchive = path.EndsWith(".json", StringComparison.OrdinalIgnoreCase);
            OpenInstallation? open = isArchive
                ? await OpenInstallation.OpenWholeAsync(terminal, parsed.GetValue(config), cancellationToken).ConfigureAwait(false)
                : await OpenInstallation.OpenAsync(terminal, parsed.GetValue(config), parsed.GetValue(grower), cancellationToken).ConfigureAwait(false);
            if (open is null)
            {
                return ExitCode.BadInput;
            }

            await using (open.ConfigureAwait(false))
            {
                return isArchive
                    ? await ArchiveAsync(terminal, open, path, cancellationToken).ConfigureAwait(false)
                    : await RegisterAsync(terminal, open, path, parsed.GetValue(replace), cancellationToken).ConfigureAwait(false);
            }
        });
        return command;
    }

    private static async Task<int> RegisterAsync(Terminal terminal, OpenInstallation open, string path, bool replace, CancellationToken cancellationToken)
    {
        if (open.RegisterPath is { } own)
        {
            return terminal.Refuse([$"{open.Settings.Installation.File} takes {open.Grower.Name}'s register from {own}. Edit that file, or take the line \"register\" out to keep grafts in the store."]);
        }

        var faults = new List<string>();
        ReadOnlyMemory<byte> bytes = InputFile.Read(terminal, path, faults);
        if (faults.Count > 0)
        {
            return terminal.Refuse(faults);
        }

        LocalDate today = terminal.Now().InZone(open.Grower.Zone).Date;
        var context = new RegisterContext { File = path, Places = [.. open.Grower.Places.Select(name => open.Settings.Morning.Places.GetValueOrDefault(name)).OfType<Place>()] };
        RegisterReading reading = RegisterCsv.Parse(bytes.Span, open.Settings.Morning.Handbook, today, context);
        if (!reading.IsValid)
        {
            return terminal.Refuse(reading.Faults.Select(fault => fault.ToString()));
        }

        RegisterChange change = replace
            ? await open.Store.Keeper.ReplaceGraftsAsync(open.Grower.Name, reading.Grafts, cancellationToken).ConfigureAwait(false)
            : await open.Store.Keeper.ImportGraftsAsync(open.Grower.Name, reading.Grafts, cancellationToken).ConfigureAwait(false);
        await terminal.Results.WriteLineAsync($"{open.Grower.Name}: {change.Added} added, {change.Changed} changed, {change.Removed} removed, {change.Unchanged} as before.").ConfigureAwait(false);
        return ExitCode.Fine;
    }

    private static async Task<int> ArchiveAsync(Terminal terminal, OpenInstallation open, string path, CancellationToken cancellationToken)
    {
        Instant now = terminal.Now();
        try
        {
            ArchiveCounts counts = await open.Store.Archive.ImportAsync(terminal.PathOf(path), FirstDay.After(open.Settings.Morning.Growers, now), now, cancellationToken).ConfigureAwait(false);
            await terminal.Results.WriteLineAsync($"{counts.Growers} growers, {counts.Grafts} grafts, {counts.Letters} letters, {counts.WeatherDays} days of weather. No letter of before goes out again.").ConfigureAwait(false);
            return ExitCode.Fine;
        }
        catch (ArchiveRefusedException refused)
        {
            return terminal.Refuse([refused.Message]);
        }
    }
}
