using System.Buffers.Text;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>Reads the inside of a JSON array of numbers and nulls straight from the bytes.</summary>
/// <remarks>
/// Nine tenths of a reply are such arrays, and a general token reader spends most of its time on them. Whatever is not plainly a
/// number or null is left to that reader, which then says what is wrong. A mantissa below 2^53 over a power of ten up to 10^22 is
/// the correctly rounded value [Clinger1990]; longer numbers go through the library.
/// </remarks>
internal static class NumberScan
{
    private const ulong ExactMantissa = 1UL << 53;

    private static ReadOnlySpan<double> PowersOfTen =>
    [
        1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    ];

    /// <summary>Reads up to the closing bracket.</summary>
    /// <param name="json">The whole text.</param>
    /// <param name="at">In: just behind the opening bracket. Out: on the closing bracket when true is returned.</param>
    /// <param name="into">Receives the numbers; null becomes NaN.</param>
    /// <param name="limit">Most entries accepted.</param>
    /// <returns>False when the array holds anything else or more entries; <paramref name="into"/> is then without meaning.</returns>
    public static bool TryReadArray(ReadOnlySpan<byte> json, ref int at, ReplyBuffer into, int limit)
    {
        int i = SkipBlank(json, at);
        if (i < json.Length && json[i] == (byte)']')
        {
            at = i;
            return true;
        }

        while (into.Count < limit)
        {
            if (!TryReadValue(json, ref i, out double value))
            {
                return false;
            }

            into.Add(value);
            if (i < json.Length && json[i] <= (byte)' ')
            {
                i = SkipBlank(json, i);
            }

            if (i >= json.Length)
            {
                return false;
            }

            if (json[i] == (byte)']')
            {
                at = i;
                return true;
            }

            if (json[i] != (byte)',')
            {
                return false;
            }

            i++;
            if (i < json.Length && json[i] <= (byte)' ')
            {
                i = SkipBlank(json, i);
            }
        }

        return false;
    }

    internal static int SkipBlank(ReadOnlySpan<byte> json, int at)
    {
        while (at < json.Length && json[at] is (byte)' ' or (byte)'\n' or (byte)'\r' or (byte)'\t')
        {
            at++;
        }

        return at;
    }

    private static bool TryReadValue(ReadOnlySpan<byte> json, ref int at, out double value)
    {
        int i = at;
        if (i < json.Length && json[i] == (byte)'n')
        {
            value = double.NaN;
            at = i + 4;
            return json[i..].StartsWith("null"u8);
        }

        bool negative = i < json.Length && json[i] == (byte)'-';
        i += negative ? 1 : 0;
        ulong mantissa = 0;
        int first = i;
        for (uint digit; i < json.Length && (digit = (uint)(json[i] - '0')) <= 9; i++)
        {
            mantissa = (mantissa * 10) + digit;
        }

        int whole = i - first, fraction = 0;
        if (i < json.Length && json[i] == (byte)'.')
        {
            int point = ++i;
            for (uint digit; i < json.Length && (digit = (uint)(json[i] - '0')) <= 9; i++)
            {
                mantissa = (mantissa * 10) + digit;
            }

            fraction = i - point;
            whole = fraction == 0 ? 0 : whole;
        }

        value = double.NaN;
        if (whole == 0 || (whole > 1 && json[first] == (byte)'0'))
        {
            return false;
        }

        bool exponent = i < json.Length && (json[i] | 0x20) == 'e';
        if (exponent || whole + fraction > 18 || mantissa >= ExactMantissa)
        {
            bool parsed = Utf8Parser.TryParse(json[at..], out value, out int used);
            at += used;
            return parsed;
        }

        value = mantissa / PowersOfTen[fraction];

        // Adding zero turns the API's occasional "-0.0" into a plain zero.
        value = (negative ? -value : value) + 0.0;
        at = i;
        return true;
    }
}
