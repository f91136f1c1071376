using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Records.Weather;

/// <summary>A column of decimals as whole numbers: services print 12.3, whose double has 52 bits of which 45 are noise to a compressor.</summary>
/// <remarks>
/// A column is written so only when every hour comes back bit for bit; <see cref="Find"/> tries. A scale is the number of decimals, and
/// where a service speaks in another unit (hPa, %, km/h) the factor that its reader applied.
/// </remarks>
internal static class DecimalColumn
{
    /// <summary>Scale of a column that is written as doubles.</summary>
    public const byte None = 255;

    private const int MostDecimals = 5;
    private const int Most = 1 << 28;
    private static readonly double[] Powers = [1, 10, 100, 1000, 10_000, 100_000];
    private static readonly double[] Factors = [1, 0.1, 0.01, 1 / 3.6];

    /// <summary>The scale by which every hour of a column comes back; <see cref="None"/> when there is none.</summary>
    public static byte Find(ReadOnlySpan<double> values, ReadOnlySpan<WeatherOrigin> origins)
    {
        for (byte factor = 0; factor < Factors.Length; factor++)
        {
            for (byte decimals = 0; decimals <= MostDecimals; decimals++)
            {
                byte scale = (byte)((factor << 4) | decimals);
                if (ComesBack(values, origins, scale))
                {
                    return scale;
                }
            }
        }

        return None;
    }

    public static bool IsScale(byte scale) => (scale >> 4) < Factors.Length && (scale & 15) <= MostDecimals;

    /// <summary>Differences from hour to hour, like bytes beside each other; hours without a value repeat the one before.</summary>
    public static void Write(ReadOnlySpan<double> values, ReadOnlySpan<WeatherOrigin> origins, byte scale, Span<byte> planes)
    {
        int before = 0;
        for (int hour = 0; hour < values.Length; hour++)
        {
            int whole = origins[hour] == WeatherOrigin.Missing ? before : Whole(values[hour], scale);
            int step = whole - before;
            uint folded = unchecked((uint)((step << 1) ^ (step >> 31)));
            for (int plane = 0; plane < sizeof(uint); plane++)
            {
                planes[(plane * values.Length) + hour] = (byte)(folded >> (8 * plane));
            }

            before = whole;
        }
    }

    public static void Read(ReadOnlySpan<byte> planes, byte scale, ReadOnlySpan<WeatherOrigin> origins, Span<double> values)
    {
        int before = 0;
        for (int hour = 0; hour < values.Length; hour++)
        {
            uint folded = 0;
            for (int plane = 0; plane < sizeof(uint); plane++)
            {
                folded |= (uint)planes[(plane * values.Length) + hour] << (8 * plane);
            }

            before = unchecked(before + ((int)(folded >> 1) ^ -(int)(folded & 1)));
            values[hour] = origins[hour] == WeatherOrigin.Missing ? double.NaN : Value(before, scale);
        }
    }

    private static bool ComesBack(ReadOnlySpan<double> values, ReadOnlySpan<WeatherOrigin> origins, byte scale)
    {
        for (int hour = 0; hour < values.Length; hour++)
        {
            double value = values[hour];
            bool same = origins[hour] == WeatherOrigin.Missing
                ? Same(value, double.NaN)
                : double.IsFinite(value) && Math.Abs(value / Factors[scale >> 4] * Powers[scale & 15]) < Most && Same(value, Value(Whole(value, scale), scale));
            if (!same)
            {
                return false;
            }
        }

        return true;
    }

    private static bool Same(double one, double other) => BitConverter.DoubleToInt64Bits(one) == BitConverter.DoubleToInt64Bits(other);

    private static int Whole(double value, byte scale) => (int)Math.Round(value / Factors[scale >> 4] * Powers[scale & 15]);

    private static double Value(int whole, byte scale) => whole / Powers[scale & 15] * Factors[scale >> 4];
}
