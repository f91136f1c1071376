using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Rounds.Pipeline;

namespace GraftWatch.Pages.Today;

/// <summary>Whether places are still as they were: each look loads them anew, so they are compared by what they say.</summary>
internal static class SamePlaces
{
    /// <summary>Whether the places a round was computed for are as they are now.</summary>
    internal static bool Hold(RoundRequest request, MorningSettings morning) =>
        request.Places.All(place => morning.Places.GetValueOrDefault(place.Place.Name) is { } now && Same(place.Place, now));

    /// <summary>Whether two collections say the same of the same places.</summary>
    internal static bool Hold(IReadOnlyDictionary<string, Place> before, IReadOnlyDictionary<string, Place> now) =>
        ReferenceEquals(before, now) || (before.Count == now.Count && before.All(place => now.GetValueOrDefault(place.Key) is { } other && Same(place.Value, other)));

    private static bool Same(Place one, Place other) =>
        ReferenceEquals(one, other)
        || (one.Name == other.Name && one.Zone.Equals(other.Zone)
            && one.Site with { HorizonDeg = other.Site.HorizonDeg } == other.Site
            && one.Site.HorizonDeg.SequenceEqual(other.Site.HorizonDeg)
            && one.Assumed.SequenceEqual(other.Assumed, StringComparer.Ordinal));
}
