using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>How the coming days suit one planned grafting.</summary>
/// <param name="Place">Name of the place.</param>
/// <param name="Species">Species key.</param>
/// <param name="Technique">Technique.</param>
/// <param name="Days">The days ahead, in order; empty when none could be scored, and <paramref name="Text"/> then says why.</param>
/// <param name="Stock">State the stock must be in.</param>
/// <param name="Scion">State the scion must be in.</param>
/// <param name="Text">The outlook as a sentence.</param>
public sealed record GraftingOutlook(
    string Place, string Species, Technique Technique, IReadOnlyList<GraftingDay> Days, string Stock, string Scion, string Text);

/// <summary>One day as a grafting day.</summary>
/// <param name="Date">The local day.</param>
/// <param name="ScoreFrac">0 (never) to 1 (as good as it gets); NaN when too little of the weather is known. [-]</param>
/// <param name="Against">What speaks against it, one phrase each.</param>
public sealed record GraftingDay(LocalDate Date, double ScoreFrac, IReadOnlyList<string> Against)
{
    /// <summary>Score from which a day is called good. [-], common practice, no source.</summary>
    public const double GoodFrac = 0.7;

    /// <summary>Whether it is a good day.</summary>
    public bool IsGood => ScoreFrac >= GoodFrac;
}
