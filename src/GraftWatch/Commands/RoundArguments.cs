using GraftWatch.Aftercare.Advising;
using NodaTime;

namespace GraftWatch.Commands;

/// <summary>What the user wrote behind <c>graftwatch round</c>.</summary>
internal sealed record RoundArguments(
    string? Weather, string? Grafts, LocalDate? Date, string? Grower, DateTimeZone? Zone, UnitSystem? Units, string? Config, bool Json, bool Send);
