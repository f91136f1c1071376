namespace GraftWatch.Letters.Picture;

/// <summary>Maps a quantity to the height of a picture, and time to its width; shared by every picture so that they read alike.</summary>
/// <param name="Low">Value at the lower edge.</param>
/// <param name="High">Value at the upper edge.</param>
/// <param name="Top">Upper edge in the picture's points.</param>
/// <param name="Height">Height in the picture's points.</param>
public sealed record PictureScale(double Low, double High, double Top, double Height)
{
    /// <summary>Room left above and below what is drawn. [°C]</summary>
    private const double MarginC = 2;

    /// <summary>Edges lie on a multiple of this. [°C]</summary>
    private const double StepC = 5;

    /// <summary>A scale that holds all temperatures; null when none is finite.</summary>
    /// <param name="valuesC">What is drawn. [°C]; NaN is left out.</param>
    /// <param name="top">Upper edge in points.</param>
    /// <param name="height">Height in points.</param>
    public static PictureScale? OfTemperatures(IEnumerable<double> valuesC, double top, double height)
    {
        ArgumentNullException.ThrowIfNull(valuesC);
        (double low, double high) = (double.NaN, double.NaN);
        foreach (double value in valuesC)
        {
            if (double.IsFinite(value))
            {
                low = value >= low ? low : value;
                high = value <= high ? high : value;
            }
        }

        return double.IsNaN(low)
            ? null
            : new PictureScale(Math.Floor((low - MarginC) / StepC) * StepC, Math.Ceiling((high + MarginC) / StepC) * StepC, top, height);
    }

    /// <summary>Height of a value in points; NaN for NaN.</summary>
    /// <param name="value">The value.</param>
    public double Y(double value) => Top + ((High - value) / (High - Low) * Height);

    /// <summary>Whether a value lies strictly between the edges.</summary>
    /// <param name="value">The value.</param>
    public bool Holds(double value) => value > Low && value < High;

    /// <summary>Multiples of a step from the lower to the upper edge.</summary>
    /// <param name="step">Above 0.</param>
    public IEnumerable<double> Marks(double step)
    {
        for (double mark = Math.Ceiling(Low / step) * step; mark <= High; mark += step)
        {
            // Adding zero turns a minus zero into zero.
            yield return mark + 0.0;
        }
    }
}
