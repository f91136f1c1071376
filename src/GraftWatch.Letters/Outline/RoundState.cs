using GraftWatch.Aftercare.Advising;

namespace GraftWatch.Letters.Outline;

/// <summary>Whether a round can be trusted to be whole.</summary>
internal static class RoundState
{
    /// <summary>Whether something was not checked for every hazard: a graft without hours, a place without weather, the whole round.</summary>
    public static bool IsBroken(Round round) => round.Places.Count == 0 || round.NotChecked.Any(n => n.IsEverything);

    /// <summary>Grafts with at least one hazard that could not be checked.</summary>
    public static int UncheckedGrafts(Round round) =>
        round.NotChecked.Where(n => n.Graft.Length > 0).Select(n => n.Graft).Distinct(StringComparer.Ordinal).Count();
}
