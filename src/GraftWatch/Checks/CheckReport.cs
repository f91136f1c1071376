using System.Text.Json;
using System.Text.Json.Serialization;
using GraftWatch.CommandLine;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Checks;

/// <summary>The findings as a document (docs/check.schema.json) and as an exit code.</summary>
internal static class CheckReport
{
    /// <summary>The exit code for the worst finding.</summary>
    internal static int ExitCodeOf(CheckVerdict worst) => worst switch
    {
        CheckVerdict.Wrong => ExitCode.BadInput,
        CheckVerdict.Failed => ExitCode.Failed,
        CheckVerdict.Fine or CheckVerdict.Look => ExitCode.Fine,
        _ => throw new System.Diagnostics.UnreachableException(),
    };

    internal static string Json(IReadOnlyList<CheckLine> lines, Instant now)
    {
        CheckVerdict worst = Worst(lines);
        return JsonSerializer.Serialize(
            new CheckDocument(
                InstantPattern.General.Format(now),
                typeof(CheckReport).Assembly.GetName().Version?.ToString(3) ?? string.Empty,
                CheckLine.Word(worst),
                ExitCodeOf(worst),
                [.. lines.Select(line => new CheckedDocument(line.Subject, CheckLine.Word(line.Verdict), line.What, line.Mend))]),
            CheckDocumentContext.Default.CheckDocument);
    }

    internal static CheckVerdict Worst(IReadOnlyList<CheckLine> lines) => lines.Count == 0 ? CheckVerdict.Fine : lines.Max(line => line.Verdict);
}

internal sealed record CheckDocument(string CheckedAt, string Program, string Worst, int ExitCode, IReadOnlyList<CheckedDocument> Checks);

internal sealed record CheckedDocument(string Subject, string State, string What, string Mend);

[JsonSourceGenerationOptions(PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase, WriteIndented = true)]
[JsonSerializable(typeof(CheckDocument))]
internal sealed partial class CheckDocumentContext : JsonSerializerContext;
