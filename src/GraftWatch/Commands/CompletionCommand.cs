using System.CommandLine;
using GraftWatch.CommandLine;
using GraftWatch.CommandLine.Shells;

namespace GraftWatch.Commands;

/// <summary>Prints what shells and the manual need, made from the definitions of the commands.</summary>
internal static class CompletionCommand
{
    internal static Command Build(Terminal terminal, RootCommand root)
    {
        var shell = new Argument<string>("SHELL") { Description = "The shell it is for.", HelpName = "bash|zsh|fish" };
        shell.AcceptOnlyFromAmong("bash", "zsh", "fish");
        var command = new Command("completion", "Print the completion of commands and options for a shell; docs/operations.md says where to put it.") { shell };
        command.SetAction(parsed =>
        {
            CommandEntry entry = CommandEntry.Of(root);
            terminal.Results.Write(parsed.GetValue(shell) switch
            {
                "bash" => BashCompletion.Write(entry),
                "zsh" => ZshCompletion.Write(entry),
                "fish" => FishCompletion.Write(entry),
                _ => throw new System.Diagnostics.UnreachableException(),
            });
            return ExitCode.Fine;
        });
        return command;
    }

    internal static Command BuildManual(Terminal terminal, RootCommand root)
    {
        var command = new Command("manual", "Print the manual page, for man -l or a package.") { Hidden = true };
        command.SetAction(_ =>
        {
            string version = typeof(CompletionCommand).Assembly.GetName().Version!.ToString(3);
            terminal.Results.Write(ManualPage.Write(CommandEntry.Of(root), version));
            return ExitCode.Fine;
        });
        return command;
    }
}
