using System.CommandLine;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.CommandLine;
using GraftWatch.Inputs;
using GraftWatch.Records.Register;

namespace GraftWatch.Commands;

/// <summary>Writes the register as CSV, or everything as one archive.</summary>
internal static class ExportCommand
{
    internal static Command Build(Terminal terminal)
    {
        var archive = new Option<string?>("--archive") { Description = "Write everything the store holds, all growers, into this file instead.", HelpName = "FILE.json" };
        Option<string?> grower = SharedOptions.Grower();
        Option<string?> config = SharedOptions.Config();
        var command = new Command("export", "Print a grower's register as CSV, or write everything as one archive.") { archive, grower, config };
        command.SetAction(async (parsed, cancellationToken) =>
        {
            OpenInstallation? open = parsed.GetValue(archive) is null
                ? await OpenInstallation.OpenAsync(terminal, parsed.GetValue(config), parsed.GetValue(grower), cancellationToken).ConfigureAwait(false)
                : await OpenInstallation.OpenWholeAsync(terminal, parsed.GetValue(config), cancellationToken).ConfigureAwait(false);
            if (open is null)
            {
                return ExitCode.BadInput;
            }

            await using (open.ConfigureAwait(false))
            {
                return await RunAsync(terminal, open, parsed.GetValue(archive), cancellationToken).ConfigureAwait(false);
            }
        });
        return command;
    }

    private static async Task<int> RunAsync(Terminal terminal, OpenInstallation open, string? archive, CancellationToken cancellationToken)
    {
        if (archive is not null)
        {
            string path = terminal.PathOf(archive);
            await open.Store.Archive.ExportAsync(path, cancellationToken).ConfigureAwait(false);
            await terminal.Messages.WriteLineAsync($"The archive is in {path}. It holds addresses and letters: keep it safe.").ConfigureAwait(false);
            return ExitCode.Fine;
        }

        try
        {
            var register = new RegisterOfInstallation(open.Store.Register, () => open.Settings, terminal.Clock);
            IReadOnlyList<Graft> grafts = await register.LoadGraftsAsync(open.Grower.Name, cancellationToken).ConfigureAwait(false);
            await terminal.Results.WriteAsync(RegisterCsv.Write(grafts).AsMemory(), cancellationToken).ConfigureAwait(false);
            return ExitCode.Fine;
        }
        catch (RegisterRefusedException refused)
        {
            return terminal.Refuse(refused.Faults);
        }
    }
}
