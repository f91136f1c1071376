using System.Text;
using GraftWatch.CommandLine;
using GraftWatch.Serving.Clocks;
using Microsoft.Extensions.Time.Testing;

namespace GraftWatch.EndToEnd.Tests.Commands;

/// <summary>Runs command lines in a folder of their own, with a clock of the test's.</summary>
internal sealed class CommandRun : IDisposable
{
    internal string Folder { get; } = Directory.CreateTempSubdirectory("graftwatch-command-").FullName;

    internal FakeTimeProvider Clock { get; } = new(new DateTimeOffset(2026, 11, 1, 12, 0, 0, TimeSpan.Zero));

    internal IClockWitness Witness { get; set; } = new TrustingWitness();

    internal string Results { get; private set; } = string.Empty;

    internal string Messages { get; private set; } = string.Empty;

    internal async Task<int> RunAsync(params string[] arguments)
    {
        using var results = new StringWriter();
        using var messages = new StringWriter();
        int code = await GraftWatchCommand.RunAsync(arguments, new Terminal(results, messages, Clock, Folder) { WitnessOf = _ => Witness }, TestContext.Current.CancellationToken);
        Results = results.ToString().ReplaceLineEndings("\n");
        Messages = messages.ToString().ReplaceLineEndings("\n");
        return code;
    }

    internal string Write(string name, string text) => Write(name, Encoding.UTF8.GetBytes(text));

    internal string Write(string name, byte[] bytes)
    {
        File.WriteAllBytes(Path.Combine(Folder, name), bytes);
        return name;
    }

    public void Dispose() => Directory.Delete(Folder, recursive: true);
}
