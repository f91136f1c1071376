using System.Buffers.Binary;
using System.IO.Compression;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Records.Weather;

/// <summary>The 24 hours of one UTC day as one compact value. Hour 0 ends at 01:00, hour 23 at 24:00.</summary>
/// <remarks>
/// Layout before compression: version 2, number of quantities, then for each quantity its code, 24 origin codes, a scale and
/// the 24 numbers (<see cref="DecimalColumn"/>): as whole numbers in four planes of 24 bytes, or, where the scale is 255, as doubles in eight
/// (like bytes beside each other compress better). Version 1, which is still read, knew doubles only and no scale. Numbers come back to the last bit.
/// </remarks>
internal sealed class DayColumns
{
    public const int Hours = 24;
    private const byte Layout = 2;
    private const byte OlderLayout = 1;
    private const int MostBytesPerQuantity = 1 + Hours + 1 + (Hours * sizeof(double));

    // A quantity's and an origin's code in the store is its place here; new ones are added at the end, never between.
    private static readonly WeatherQuantity[] Quantities =
    [
        WeatherQuantity.AirC, WeatherQuantity.HumidityPct, WeatherQuantity.DewPointC, WeatherQuantity.WindMPerS, WeatherQuantity.GustMPerS,
        WeatherQuantity.WindFromDeg, WeatherQuantity.GlobalWPerM2, WeatherQuantity.DirectHorizontalWPerM2, WeatherQuantity.DiffuseWPerM2,
        WeatherQuantity.DirectNormalWPerM2, WeatherQuantity.PrecipitationMm, WeatherQuantity.SnowfallCm, WeatherQuantity.CloudFrac,
        WeatherQuantity.SkinC, WeatherQuantity.SoilShallowC, WeatherQuantity.SoilDeepC, WeatherQuantity.SoilWaterM3PerM3,
        WeatherQuantity.ReferenceEtMm, WeatherQuantity.PressureKPa,
    ];

    private static readonly WeatherOrigin[] Origins = [WeatherOrigin.Missing, WeatherOrigin.Measured, WeatherOrigin.Analysed, WeatherOrigin.Forecast, WeatherOrigin.Derived];

    private readonly SortedDictionary<byte, Column> columns = [];

    /// <summary>Quantities that have at least one hour.</summary>
    public IEnumerable<WeatherQuantity> Known => columns.Keys.Select(code => Quantities[code]);

    /// <summary>Reads a stored value; null when it is damaged or of a later layout.</summary>
    public static DayColumns? TryDecode(byte[] stored)
    {
        byte[]? plain = Expand(stored);
        if (plain is null || plain.Length < 2 || plain[0] is not (Layout or OlderLayout))
        {
            return null;
        }

        var day = new DayColumns();
        ReadOnlySpan<byte> rest = plain.AsSpan(2);
        for (int i = 0; i < plain[1]; i++)
        {
            if (!day.TryRead(ref rest, hasScale: plain[0] == Layout))
            {
                return null;
            }
        }

        return rest.Length == 0 ? day : null;
    }

    public byte[] Encode()
    {
        byte[] plain = new byte[2 + (columns.Count * MostBytesPerQuantity)];
        plain[0] = Layout;
        plain[1] = (byte)columns.Count;
        int at = 2;
        foreach ((byte code, Column column) in columns)
        {
            plain[at++] = code;
            for (int hour = 0; hour < Hours; hour++)
            {
                plain[at++] = (byte)Array.IndexOf(Origins, column.Origins[hour]);
            }

            byte scale = DecimalColumn.Find(column.Values, column.Origins);
            plain[at++] = scale;
            int length = Hours * (scale == DecimalColumn.None ? sizeof(double) : sizeof(uint));
            Span<byte> planes = plain.AsSpan(at, length);
            if (scale == DecimalColumn.None)
            {
                WriteDoubles(column.Values, planes);
            }
            else
            {
                DecimalColumn.Write(column.Values, column.Origins, scale, planes);
            }

            at += length;
        }

        return Compress(plain.AsSpan(0, at));
    }

    /// <summary>Value and origin of one hour; missing when there is none.</summary>
    public (double Value, WeatherOrigin Origin) this[WeatherQuantity quantity, int hour] =>
        columns.TryGetValue(Code(quantity), out Column? column) ? (column.Values[hour], column.Origins[hour]) : (double.NaN, WeatherOrigin.Missing);

    /// <summary>Offers an hour of a later run; whether it took the place of what was there.</summary>
    public bool Offer(WeatherQuantity quantity, int hour, double value, WeatherOrigin origin)
    {
        (double before, WeatherOrigin beforeOrigin) = this[quantity, hour];
        bool better = origin != WeatherOrigin.Missing && (Rank(beforeOrigin) <= Rank(WeatherOrigin.Forecast) || Rank(origin) > Rank(beforeOrigin));
        if (!better || (origin == beforeOrigin && BitConverter.DoubleToUInt64Bits(before) == BitConverter.DoubleToUInt64Bits(value)))
        {
            return false;
        }

        byte code = Code(quantity);
        if (!columns.TryGetValue(code, out Column? column))
        {
            columns.Add(code, column = new Column());
        }

        column.Values[hour] = value;
        column.Origins[hour] = origin;
        return true;
    }

    /// <summary>Sets an hour to exactly this, whatever was there.</summary>
    public void Put(WeatherQuantity quantity, int hour, double value, WeatherOrigin origin)
    {
        byte code = Code(quantity);
        if (!columns.TryGetValue(code, out Column? column))
        {
            if (origin == WeatherOrigin.Missing)
            {
                return;
            }

            columns.Add(code, column = new Column());
        }

        column.Values[hour] = value;
        column.Origins[hour] = origin;
    }

    /// <summary>Forgets this hour and all later ones.</summary>
    public void ForgetFrom(int hour)
    {
        foreach (Column column in columns.Values)
        {
            Array.Fill(column.Values, double.NaN, hour, Hours - hour);
            Array.Fill(column.Origins, WeatherOrigin.Missing, hour, Hours - hour);
        }

        foreach (byte code in columns.Where(pair => Array.TrueForAll(pair.Value.Origins, origin => origin == WeatherOrigin.Missing)).Select(pair => pair.Key).ToArray())
        {
            columns.Remove(code);
        }
    }

    private static int Rank(WeatherOrigin origin) => origin switch
    {
        WeatherOrigin.Missing => 0,
        WeatherOrigin.Forecast or WeatherOrigin.Derived => 1,
        WeatherOrigin.Analysed => 2,
        WeatherOrigin.Measured => 3,
        _ => throw new System.Diagnostics.UnreachableException(),
    };

    private static byte Code(WeatherQuantity quantity)
    {
        int at = Array.IndexOf(Quantities, quantity);
        return at >= 0 ? (byte)at : throw new ArgumentOutOfRangeException(nameof(quantity), quantity, "The store has no code for this quantity.");
    }

    private bool TryRead(ref ReadOnlySpan<byte> rest, bool hasScale)
    {
        int head = 1 + Hours + (hasScale ? 1 : 0);
        if (rest.Length < head || rest[0] >= Quantities.Length || columns.ContainsKey(rest[0]) || rest[1..(1 + Hours)].ContainsAnyExceptInRange((byte)0, (byte)(Origins.Length - 1)))
        {
            return false;
        }

        byte scale = hasScale ? rest[1 + Hours] : DecimalColumn.None;
        int length = Hours * (scale == DecimalColumn.None ? sizeof(double) : sizeof(uint));
        if ((scale != DecimalColumn.None && !DecimalColumn.IsScale(scale)) || rest.Length < head + length)
        {
            return false;
        }

        var column = new Column();
        for (int hour = 0; hour < Hours; hour++)
        {
            column.Origins[hour] = Origins[rest[1 + hour]];
        }

        ReadOnlySpan<byte> planes = rest.Slice(head, length);
        if (scale == DecimalColumn.None)
        {
            ReadDoubles(planes, column.Values);
        }
        else
        {
            DecimalColumn.Read(planes, scale, column.Origins, column.Values);
        }

        columns.Add(rest[0], column);
        rest = rest[(head + length)..];
        return true;
    }

    private static void WriteDoubles(ReadOnlySpan<double> values, Span<byte> planes)
    {
        for (int hour = 0; hour < Hours; hour++)
        {
            ulong bits = BitConverter.DoubleToUInt64Bits(values[hour]);
            for (int plane = 0; plane < sizeof(double); plane++)
            {
                planes[(plane * Hours) + hour] = (byte)(bits >> (8 * plane));
            }
        }
    }

    private static void ReadDoubles(ReadOnlySpan<byte> planes, Span<double> values)
    {
        for (int hour = 0; hour < Hours; hour++)
        {
            ulong bits = 0;
            for (int plane = 0; plane < sizeof(double); plane++)
            {
                bits |= (ulong)planes[(plane * Hours) + hour] << (8 * plane);
            }

            values[hour] = BitConverter.UInt64BitsToDouble(bits);
        }
    }

    private static byte[] Compress(ReadOnlySpan<byte> plain)
    {
        byte[] target = new byte[4 + BrotliEncoder.GetMaxCompressedLength(plain.Length)];
        BinaryPrimitives.WriteInt32LittleEndian(target, plain.Length);
        return BrotliEncoder.TryCompress(plain, target.AsSpan(4), out int written, quality: 5, window: 18)
            ? target[..(4 + written)]
            : throw new InvalidOperationException("A day of weather could not be compressed.");
    }

    private static byte[]? Expand(byte[] stored)
    {
        int length = stored.Length < 4 ? -1 : BinaryPrimitives.ReadInt32LittleEndian(stored);
        if (length is < 0 or > 2 + (256 * MostBytesPerQuantity))
        {
            return null;
        }

        byte[] plain = new byte[length];
        return BrotliDecoder.TryDecompress(stored.AsSpan(4), plain, out int written) && written == length
            ? plain
            : null;
    }

    private sealed class Column
    {
        public Column() => Array.Fill(Values, double.NaN);

        public double[] Values { get; } = new double[Hours];

        public WeatherOrigin[] Origins { get; } = new WeatherOrigin[Hours];
    }
}
