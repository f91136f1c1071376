using System.Globalization;

namespace GraftWatch.Microclimate.Tests;

/// <summary>Numbers of measured files: invariant, an empty cell or NA is NaN.</summary>
internal static class Numbers
{
    public static double Parse(string cell) =>
        double.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) ? value : double.NaN;
}
