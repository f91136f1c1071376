using System.Globalization;
using GraftWatch.Aftercare.Grafts;

namespace GraftWatch.Aftercare.Advising;

/// <summary>What a round took for granted, one sentence each.</summary>
internal static class Assumptions
{
    /// <summary>Collects them.</summary>
    internal static IReadOnlyList<string> Of(RoundRequest request, IReadOnlyList<GraftView> views)
    {
        var assumed = new List<string>();
        foreach (PlaceWeather place in request.Places)
        {
            assumed.AddRange(place.Place.Assumed);
        }

        foreach (Graft graft in request.Grafts)
        {
            assumed.AddRange(graft.Assumed);
        }

        foreach (IGrouping<string, GraftView> place in views.GroupBy(view => view.Graft.Place))
        {
            assumed.AddRange(AtPlace(place.Key, [.. place]));
        }

        return [.. assumed.Distinct(StringComparer.Ordinal)];
    }

    private static IEnumerable<string> AtPlace(string place, IReadOnlyList<GraftView> views)
    {
        int older = views.Count(view => view.MadeAt < view.Climate.StartOf(0) && view.Stage != Stage.Failed);
        if (older > 0)
        {
            yield return string.Create(
                CultureInfo.InvariantCulture,
                $"{place}: the weather begins after {older} {(older == 1 ? "graft was" : "grafts were")} made; the days before it count at the mean healing rate of its first days.");
        }

        int shoots = views.Count(view => view.ShootEstimated && view.ShootM > 0 && view.Stage < Stage.Established);
        if (shoots > 0)
        {
            yield return string.Create(
                CultureInfo.InvariantCulture,
                $"{place}: shoot length of {shoots} {(shoots == 1 ? "graft is" : "grafts is")} an estimate of the healing clock; record what you measure.");
        }

        if (views[0].Climate.GustsDerived > 0 && views.Any(view => view.ShootM > 0 || view.State.Cover != "none"))
        {
            yield return $"{place}: gusts where the source gives none are taken from the mean wind.";
        }
    }
}
