namespace GraftWatch.Microclimate.Response;

/// <summary>Which tissue takes the heat; they differ in how long they stand it.</summary>
public enum HeatTissue
{
    /// <summary>Leaf, callus, swelling bud: harmed by half an hour at 48 °C.</summary>
    Soft,

    /// <summary>Bark and cambium of woody stems: harmed by half an hour at 51.5 °C.</summary>
    Woody,
}

/// <summary>Heat damage as a dose that adds up over hours; 1 is damage.</summary>
/// <remarks>
/// An estimate. That hourly doses add up is measured for leaves at 44 to 47 °C [Faber2024]; that half an hour at 48 °C (soft)
/// or 51.5 °C (woody) harms, and that the time to damage halves with each kelvin, are common practice, no source. The woody
/// anchor gives 5 s at 60 °C, the classic threshold for cambium [Subasinghe2021].
/// There is no lower cut: at 30 °C a month adds less than a hundredth.
/// </remarks>
public static class HeatDose
{
    /// <summary>How long a tissue stands a steady temperature before it is harmed.</summary>
    /// <param name="tissueC">Tissue temperature. [°C]; meant for 30 to 65.</param>
    /// <param name="tissue">Which tissue.</param>
    /// <returns>Time to damage. [h]; NaN where the temperature is NaN.</returns>
    public static double HoursToDamage(double tissueC, HeatTissue tissue) =>
        0.5 * Math.Pow(2, AnchorC(tissue) - tissueC);

    /// <summary>Adds a stretch of steady temperature to a dose.</summary>
    /// <param name="doseFrac">Dose so far. [-], 0 or more.</param>
    /// <param name="tissueC">Tissue temperature of the stretch. [°C]</param>
    /// <param name="hours">Length of the stretch. [h], 0 or more.</param>
    /// <param name="tissue">Which tissue.</param>
    /// <returns>The new dose. [-]; 1 is damage. NaN where an input is NaN.</returns>
    public static double Add(double doseFrac, double tissueC, double hours, HeatTissue tissue) =>
        doseFrac + (hours / HoursToDamage(tissueC, tissue));

    /// <summary>Dose of a run of hours.</summary>
    /// <param name="tissueC">Hourly mean tissue temperatures. [°C]; a single NaN makes the dose NaN.</param>
    /// <param name="tissue">Which tissue.</param>
    /// <returns>Dose. [-]; 1 is damage, 0 for no hours.</returns>
    public static double OfHours(ReadOnlySpan<double> tissueC, HeatTissue tissue)
    {
        double doseFrac = 0;
        foreach (double hourC in tissueC)
        {
            doseFrac = Add(doseFrac, hourC, 1, tissue);
        }

        return doseFrac;
    }

    private static double AnchorC(HeatTissue tissue) => tissue switch
    {
        HeatTissue.Soft => 48,
        HeatTissue.Woody => 51.5,
        _ => throw new ArgumentOutOfRangeException(nameof(tissue), tissue, "Unknown tissue."),
    };
}
