using System.CommandLine;
using GraftWatch.Commands;
using GraftWatch.Inputs;

namespace GraftWatch.CommandLine;

/// <summary>The command line as a whole.</summary>
internal static class GraftWatchCommand
{
    private const string Description =
        "GraftWatch computes what each graft union of a nursery feels (sun, bark temperature, drying, frost, wind, sap)\n"
        + "from a weather forecast, and says each morning what to do about it, where and by when.";

    /// <summary>Runs one command line.</summary>
    /// <returns>An <see cref="ExitCode"/>.</returns>
    internal static async Task<int> RunAsync(string[] arguments, Terminal terminal, CancellationToken cancellationToken)
    {
        RootCommand root = Build(terminal);
        ParseResult parsed = root.Parse(arguments);
        if (parsed.Errors.Count > 0)
        {
            foreach (string fault in parsed.Errors.Select(error => error.Message).Distinct())
            {
                terminal.Messages.WriteLine(fault);
            }

            string command = parsed.CommandResult.Command is RootCommand ? "graftwatch" : "graftwatch " + parsed.CommandResult.Command.Name;
            terminal.Messages.WriteLine($"See {command} --help.");
            return ExitCode.BadInput;
        }

        var invocation = new InvocationConfiguration
        {
            Output = terminal.Results,
            Error = terminal.Messages,
            EnableDefaultExceptionHandler = false,
        };
        try
        {
            return await parsed.InvokeAsync(invocation, cancellationToken).ConfigureAwait(false);
        }
        catch (OperationCanceledException)
        {
            terminal.Messages.WriteLine("Stopped.");
            return ExitCode.Failed;
        }
        catch (RegisterRefusedException refused)
        {
            return terminal.Refuse(refused.Faults);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            terminal.Messages.WriteLine(e.Message);
            return ExitCode.Failed;
        }
    }

    /// <summary>All commands.</summary>
    internal static RootCommand Build(Terminal terminal)
    {
        var root = new RootCommand(Description)
        {
            DemoCommand.Build(terminal),
            RoundCommand.Build(terminal),
            ExplainCommand.Build(terminal),
            ServeCommand.Build(terminal),
            ReplayCommand.Build(terminal),
            CheckCommand.Build(terminal),
            ObserveCommand.Build(terminal),
            ImportCommand.Build(terminal),
            ExportCommand.Build(terminal),
            BackupCommand.Build(terminal),
            BackupCommand.BuildRestore(terminal),
            MoveCommand.Build(terminal),
        };
        root.Add(LiveCommand.Build(terminal));
        root.Add(CompletionCommand.Build(terminal, root));
        root.Add(CompletionCommand.BuildManual(terminal, root));
        return root;
    }
}
