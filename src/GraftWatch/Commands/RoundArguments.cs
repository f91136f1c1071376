using GraftWatch.Aftercare.Advising;
using NodaTime;

namespace GraftWatch.Commands;

/// <summary>What the user wrote behind <c>round</c> or a command that explains one.</summary>
internal sealed record RoundArguments(
    string? Weather, string? Grafts, LocalDate? Date, string? Grower, DateTimeZone? Zone, UnitSystem? Units, string? Config, bool Json = false, bool Send = false)
{
    /// <summary>Whether every hour of a saved reply counts, not only those to ten days after the day.</summary>
    internal bool WholeFile { get; init; }

    /// <summary>Graftings planned, as written; empty for those of the settings.</summary>
    internal IReadOnlyList<string> Planned { get; init; } = [];
}
