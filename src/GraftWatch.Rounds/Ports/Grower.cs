using GraftWatch.Aftercare.Advising;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Who gets a letter.</summary>
/// <param name="Name">Name as the letter greets.</param>
/// <param name="Address">Mail address.</param>
/// <param name="Zone">Zone of the letter hour and the local day: the zone of the first place.</param>
/// <param name="LetterTime">Local time of the morning letter.</param>
/// <param name="Units">Units of the texts.</param>
/// <param name="Places">Names of the grower's places.</param>
public sealed record Grower(string Name, string Address, DateTimeZone Zone, LocalTime LetterTime, UnitSystem Units, IReadOnlyList<string> Places)
{
    /// <summary>Graftings the grower plans. They live in the settings; a book of growers does not keep them.</summary>
    public IReadOnlyList<PlannedGrafting> Planned { get; init; } = [];
}
