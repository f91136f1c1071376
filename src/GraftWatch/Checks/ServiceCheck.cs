using System.Runtime.CompilerServices;

namespace GraftWatch.Checks;

/// <summary>Whether something starts serve again after the machine was switched off.</summary>
internal sealed class ServiceCheck : ICheck
{
    private const string Unit = "graftwatch.service";
    private static readonly string[] Folders = ["etc/systemd/system", "usr/lib/systemd/system", "lib/systemd/system"];

    public string Subject => "service";

    public bool NeedsSettings => false;

    public async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        await Task.CompletedTask.ConfigureAwait(false);
        Func<string, string?> environment = scope.Surroundings.Environment;
        string? unit = Folders.Select(folder => Path.Combine(scope.Surroundings.Root, folder, Unit)).FirstOrDefault(File.Exists);
        if (environment("NOTIFY_SOCKET") is { Length: > 0 } || environment("INVOCATION_ID") is { Length: > 0 })
        {
            yield return new CheckLine(Subject, CheckVerdict.Fine, "A service manager started this run and is told how it goes.");
        }
        else if (unit is not null)
        {
            yield return new CheckLine(Subject, CheckVerdict.Fine, $"{unit} is installed; systemctl status graftwatch tells how it goes.");
        }
        else if (environment("container") is { Length: > 0 } || File.Exists(Path.Combine(scope.Surroundings.Root, ".dockerenv")) || File.Exists(Path.Combine(scope.Surroundings.Root, "run/.containerenv")))
        {
            yield return new CheckLine(Subject, CheckVerdict.Fine, "This runs in a container; whoever runs containers here must start it again after a restart of the machine.");
        }
        else
        {
            yield return new CheckLine(Subject, CheckVerdict.Look, $"No unit {Unit} is installed: after a restart of the machine nobody starts serve.", "Install deploy/graftwatch.service, or let another service manager start it.");
        }
    }
}
