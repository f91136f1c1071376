using GraftWatch.Microclimate.Sites;
using NodaTime;

namespace GraftWatch.Aftercare.Grafts;

/// <summary>Where grafts stand.</summary>
/// <param name="Name">Name as the register writes it.</param>
/// <param name="Site">Coordinates and surroundings.</param>
/// <param name="Zone">Time zone of the place.</param>
public sealed record Place(string Name, Site Site, DateTimeZone Zone)
{
    /// <summary>What was taken for granted about the place because nobody said it, one sentence each.</summary>
    public IReadOnlyList<string> Assumed { get; init; } = [];
}
