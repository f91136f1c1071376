using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Urgent;
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
    private static readonly IReadOnlyList<string> ByMail = [LetterSlot.Mail];

    /// <summary>Graftings the grower plans. They live in the settings; a book of growers does not keep them.</summary>
    public IReadOnlyList<PlannedGrafting> Planned { get; init; } = [];

    /// <summary>Channels of the morning letter, as slots name them. A book of growers keeps channels apart.</summary>
    public IReadOnlyList<string> Morning { get; init; } = ByMail;

    /// <summary>Channels of urgent notes, as slots name them; empty for none. A book of growers keeps channels apart.</summary>
    public IReadOnlyList<string> Urgent { get; init; } = ByMail;

    /// <summary>Wishes for urgent notes.</summary>
    public UrgentWishes Wishes { get; init; } = new();

    /// <summary>Whether letters carry the picture of the next days.</summary>
    public bool Picture { get; init; } = true;

    /// <summary>Whether letters carry the calendar part.</summary>
    public bool Calendar { get; init; } = true;
}
