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

    /// <summary>How long a program that is told to end may finish what it has in hand: a letter cut off on the line to a slow mail server would go out twice. Less than the service unit waits.</summary>
    internal static readonly TimeSpan LongestStop = TimeSpan.FromSeconds(80);

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
            ProcessTerminationTimeout = LongestStop,
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
        catch (IOException taken) when (taken.InnerException is Microsoft.AspNetCore.Connections.AddressInUseException)
        {
            terminal.Messages.WriteLine(taken.Message.TrimEnd('.') + ": another program listens there. End it, or write another port into page.listen of graftwatch.toml (or behind the option).");
            return ExitCode.Failed;
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
