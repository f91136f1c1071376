namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>Values of one column as written, grown while reading and used again for the next location.</summary>
internal sealed class ReplyBuffer
{
    private double[] values = new double[256];

    public int Count { get; private set; }

    public ReadOnlySpan<double> Values => values.AsSpan(0, Count);

    public void Clear() => Count = 0;

    public void Add(double value)
    {
        if (Count == values.Length)
        {
            Array.Resize(ref values, 2 * values.Length);
        }

        values[Count++] = value;
    }
}
