using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Aftercare.Healing;

/// <summary>Months and seasons of a place, counted as in the northern half of the world: south of the equator shifted by six months.</summary>
/// <param name="South">Whether the place lies south of the equator.</param>
internal readonly record struct GrowthYear(bool South)
{
    /// <summary>The calendar of a place.</summary>
    internal static GrowthYear Of(Place place) => new(place.Site.LatitudeDeg < 0);

    /// <summary>The date of the same season in the north.</summary>
    internal LocalDate North(LocalDate date) => South ? date.PlusMonths(6) : date;

    /// <summary>The month of the same season in the north, 1 to 12.</summary>
    internal int Month(LocalDate date) => North(date).Month;

    /// <summary>The local date on which a northern date of a season year falls here.</summary>
    internal LocalDate Local(int seasonYear, int northMonth, int day)
    {
        var north = new LocalDate(seasonYear, northMonth, day);
        return South ? north.PlusMonths(-6) : north;
    }

    /// <summary>The season year in which a graft first grows: buds set from mid-summer on wait for the next spring.</summary>
    /// <param name="made">Day of grafting.</param>
    /// <param name="technique">Technique.</param>
    /// <param name="summerMonth">Buds set from this northern month on wait.</param>
    internal int FirstGrowth(LocalDate made, Technique technique, int summerMonth)
    {
        LocalDate north = North(made);
        return Waits(made, technique, summerMonth) ? north.Year + 1 : north.Month >= 11 ? north.Year + 1 : north.Year;
    }

    /// <summary>Whether a bud is set so late that it sleeps until spring.</summary>
    internal bool Waits(LocalDate made, Technique technique, int summerMonth)
    {
        int month = Month(made);
        return technique.IsBud() && month >= summerMonth && month <= 10;
    }
}
