namespace GraftWatch.Microclimate.Response;

/// <summary>A response given as a table of points with straight lines between them.</summary>
/// <remarks>Outside the table the end value holds: a published table says what happens at its ends, a straight line past them would not.</remarks>
public sealed class PiecewiseLinear
{
    private readonly double[] x;
    private readonly double[] y;

    /// <summary>Makes a response from its points.</summary>
    /// <param name="x">Positions, finite and strictly rising, at least two; in the unit of the quantity the response is asked at.</param>
    /// <param name="y">Values at the positions, finite; same length as <paramref name="x"/>.</param>
    /// <exception cref="ArgumentException">Fewer than two points, unequal lengths, a value that is not finite, or positions that do not rise.</exception>
    public PiecewiseLinear(ReadOnlySpan<double> x, ReadOnlySpan<double> y)
    {
        SpanLengths.RequireEqual(x.Length, y.Length, nameof(y));
        if (x.Length < 2)
        {
            throw new ArgumentException("A table needs at least two points.", nameof(x));
        }

        for (int i = 0; i < x.Length; i++)
        {
            if (!double.IsFinite(x[i]) || !double.IsFinite(y[i]))
            {
                throw new ArgumentException($"Point {i + 1} is not finite.", nameof(x));
            }

            if (i > 0 && x[i] <= x[i - 1])
            {
                throw new ArgumentException($"Positions must rise: {x[i]} comes after {x[i - 1]}.", nameof(x));
            }
        }

        this.x = x.ToArray();
        this.y = y.ToArray();
    }

    /// <summary>Number of points.</summary>
    public int Points => x.Length;

    /// <summary>Value at a position.</summary>
    /// <param name="at">Position, any; before the first or after the last point the end value holds.</param>
    /// <returns>Interpolated value; NaN where <paramref name="at"/> is NaN.</returns>
    public double Value(double at)
    {
        if (double.IsNaN(at))
        {
            return double.NaN;
        }

        if (at <= x[0])
        {
            return y[0];
        }

        if (at >= x[^1])
        {
            return y[^1];
        }

        int found = Array.BinarySearch(x, at);
        if (found >= 0)
        {
            return y[found];
        }

        int right = ~found;
        double share = (at - x[right - 1]) / (x[right] - x[right - 1]);
        return y[right - 1] + (share * (y[right] - y[right - 1]));
    }

    /// <summary>Values at many positions.</summary>
    /// <param name="at">Positions; NaN gives NaN.</param>
    /// <param name="destination">Receives the values; same length, may be the same memory.</param>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public void Compute(ReadOnlySpan<double> at, Span<double> destination)
    {
        SpanLengths.RequireEqual(at.Length, destination.Length, nameof(destination));
        for (int i = 0; i < at.Length; i++)
        {
            destination[i] = Value(at[i]);
        }
    }
}
