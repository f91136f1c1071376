namespace GraftWatch.Microclimate.Soil;

/// <summary>How strongly a stock pushes sap from its roots in spring.</summary>
public enum SapClass
{
    /// <summary>Hardly: apple, pear, quince, medlar.</summary>
    Slight,

    /// <summary>Gum rather than sap: peach, cherry, apricot, plum, citrus.</summary>
    Gumming,

    /// <summary>Moderately: mulberry, fig, persimmon, pecan.</summary>
    Moderate,

    /// <summary>Strongly: grape, walnut, birch, maple, kiwi, hornbeam.</summary>
    Strong,
}
