using System.CommandLine;
using GraftWatch.Checks;
using GraftWatch.CommandLine;
using GraftWatch.Inputs;

namespace GraftWatch.Commands;

/// <summary>Checks an installation before a morning depends on it.</summary>
internal static class CheckCommand
{
    internal static Command Build(Terminal terminal)
    {
        Option<string?> config = SharedOptions.Config();
        var command = new Command("check", "Check settings, clock, store, registers, mail server and weather source, one line each, with how to mend.") { config };
        command.SetAction((parsed, cancellationToken) => RunAsync(terminal, parsed.GetValue(config), cancellationToken));
        return command;
    }

    private static async Task<int> RunAsync(Terminal terminal, string? config, CancellationToken cancellationToken)
    {
        var faults = new List<string>();
        string? folder = InputFile.Folder(terminal, config ?? Installation.UsualFolder, faults);
        if (faults.Count > 0)
        {
            return terminal.Refuse(faults);
        }

        CheckVerdict worst = CheckVerdict.Fine;
        await foreach (CheckLine line in new InstallationCheck(terminal, folder!).RunAsync(cancellationToken).ConfigureAwait(false))
        {
            await terminal.Results.WriteLineAsync(line.ToString()).ConfigureAwait(false);
            worst = line.Verdict > worst ? line.Verdict : worst;
        }

        return worst switch
        {
            CheckVerdict.Wrong => ExitCode.BadInput,
            CheckVerdict.Failed => ExitCode.Failed,
            CheckVerdict.Fine or CheckVerdict.Look => ExitCode.Fine,
            _ => throw new System.Diagnostics.UnreachableException(),
        };
    }
}
