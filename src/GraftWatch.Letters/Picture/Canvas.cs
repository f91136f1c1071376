using System.Buffers.Binary;
using System.IO.Compression;
using System.IO.Hashing;

namespace GraftWatch.Letters.Picture;

/// <summary>A small drawing surface: smooth lines, discs and letters, saved as PNG (ISO/IEC 15948).</summary>
internal sealed class Canvas
{
    private readonly byte[] rgb;
    private readonly float[] mask;
    private (int Left, int Top, int Right, int Bottom) marked;

    public Canvas(int width, int height, Ink paper)
    {
        Width = width;
        Height = height;
        rgb = new byte[width * height * 3];
        mask = new float[width * height];
        Fill(0, 0, width, height, paper);
    }

    public int Width { get; }

    public int Height { get; }

    /// <summary>A filled rectangle.</summary>
    public void Fill(int left, int top, int width, int height, Ink ink)
    {
        for (int y = Math.Max(0, top); y < Math.Min(Height, top + height); y++)
        {
            for (int x = Math.Max(0, left); x < Math.Min(Width, left + width); x++)
            {
                Blend(x, y, ink, 1);
            }
        }
    }

    /// <summary>A line through points, smooth at its edges; gaps are NaN points. With a dash only every second stretch is drawn.</summary>
    public void Line(IReadOnlyList<(double X, double Y)> points, double thickness, Ink ink, double dash = 0)
    {
        StartMask();
        double walked = 0;
        for (int i = 1; i < points.Count; i++)
        {
            (double x0, double y0) = points[i - 1];
            (double x1, double y1) = points[i];
            if (double.IsNaN(y0) || double.IsNaN(y1))
            {
                walked = 0;
                continue;
            }

            double length = Math.Sqrt(((x1 - x0) * (x1 - x0)) + ((y1 - y0) * (y1 - y0)));
            if (dash <= 0)
            {
                Stroke(x0, y0, x1, y1, thickness / 2);
                continue;
            }

            for (double at = 0; at < length;)
            {
                double rest = dash - (walked % dash);
                double step = Math.Min(rest, length - at);
                if ((int)(walked / dash) % 2 == 0 && length > 0)
                {
                    Stroke(
                        x0 + ((x1 - x0) * at / length), y0 + ((y1 - y0) * at / length),
                        x0 + ((x1 - x0) * (at + step) / length), y0 + ((y1 - y0) * (at + step) / length), thickness / 2);
                }

                walked += Math.Max(step, 1e-9);
                at += Math.Max(step, 1e-9);
            }
        }

        Apply(ink);
    }

    /// <summary>A filled disc.</summary>
    public void Disc(double x, double y, double radius, Ink ink)
    {
        StartMask();
        Stroke(x, y, x, y, radius);
        Apply(ink);
    }

    /// <summary>Text with its upper left corner at a point.</summary>
    public void Text(int left, int top, string words, Ink ink)
    {
        foreach ((Glyph glyph, int column) in Lettering.Set.Lay(words))
        {
            ReadOnlySpan<byte> coverage = glyph.Coverage.Span;
            for (int row = 0; row < glyph.Height; row++)
            {
                for (int x = 0; x < glyph.Width; x++)
                {
                    Blend(left + column + glyph.Left + x, top + glyph.Top + row, ink, coverage[(row * glyph.Width) + x] / 255f);
                }
            }
        }
    }

    /// <summary>The picture as a PNG file: one byte a pixel where 256 colours suffice, three otherwise.</summary>
    public byte[] ToPng()
    {
        (byte[] Palette, byte[] Pixels)? indexed = Index();
        using var file = new MemoryStream();
        file.Write([0x89, (byte)'P', (byte)'N', (byte)'G', 0x0D, 0x0A, 0x1A, 0x0A]);
        Span<byte> head = stackalloc byte[13];
        BinaryPrimitives.WriteInt32BigEndian(head, Width);
        BinaryPrimitives.WriteInt32BigEndian(head[4..], Height);
        head[8] = 8;
        head[9] = indexed is null ? (byte)2 : (byte)3;
        Chunk(file, "IHDR"u8, head);
        if (indexed is { } few)
        {
            Chunk(file, "PLTE"u8, few.Palette);
            Chunk(file, "IDAT"u8, Packed(few.Pixels, Width));
        }
        else
        {
            Chunk(file, "IDAT"u8, Packed(rgb, Width * 3));
        }

        Chunk(file, "IEND"u8, []);
        return file.ToArray();
    }

    private (byte[] Palette, byte[] Pixels)? Index()
    {
        var seen = new Dictionary<int, byte>();
        var palette = new List<byte>();
        byte[] pixels = new byte[Width * Height];
        int last = -1;
        byte lastIndex = 0;
        for (int i = 0; i < pixels.Length; i++)
        {
            int colour = (rgb[i * 3] << 16) | (rgb[(i * 3) + 1] << 8) | rgb[(i * 3) + 2];
            if (colour != last)
            {
                if (!seen.TryGetValue(colour, out lastIndex))
                {
                    if (seen.Count == 256)
                    {
                        return null;
                    }

                    lastIndex = (byte)seen.Count;
                    seen.Add(colour, lastIndex);
                    palette.AddRange(rgb.AsSpan(i * 3, 3));
                }

                last = colour;
            }

            pixels[i] = lastIndex;
        }

        return ([.. palette], pixels);
    }

    /// <summary>Rows as they are: a picture of few colours packs best without a filter.</summary>
    private byte[] Packed(byte[] rows, int stride)
    {
        using var packed = new MemoryStream();
        using (var zlib = new ZLibStream(packed, CompressionLevel.SmallestSize, leaveOpen: true))
        {
            for (int y = 0; y < Height; y++)
            {
                zlib.WriteByte(0);
                zlib.Write(rows, y * stride, stride);
            }
        }

        return packed.ToArray();
    }

    private static void Chunk(Stream file, ReadOnlySpan<byte> type, ReadOnlySpan<byte> data)
    {
        Span<byte> number = stackalloc byte[4];
        BinaryPrimitives.WriteInt32BigEndian(number, data.Length);
        file.Write(number);
        file.Write(type);
        file.Write(data);
        var crc = new Crc32();
        crc.Append(type);
        crc.Append(data);
        BinaryPrimitives.WriteUInt32BigEndian(number, crc.GetCurrentHashAsUInt32());
        file.Write(number);
    }

    private void Stroke(double x0, double y0, double x1, double y1, double radius)
    {
        int left = Math.Max(0, (int)(Math.Min(x0, x1) - radius - 1));
        int right = Math.Min(Width - 1, (int)(Math.Max(x0, x1) + radius + 2));
        int top = Math.Max(0, (int)(Math.Min(y0, y1) - radius - 1));
        int bottom = Math.Min(Height - 1, (int)(Math.Max(y0, y1) + radius + 2));
        marked = (Math.Min(marked.Left, left), Math.Min(marked.Top, top), Math.Max(marked.Right, right), Math.Max(marked.Bottom, bottom));
        double dx = x1 - x0;
        double dy = y1 - y0;
        double square = (dx * dx) + (dy * dy);
        for (int y = top; y <= bottom; y++)
        {
            for (int x = left; x <= right; x++)
            {
                double along = square == 0 ? 0 : Math.Clamp((((x - x0) * dx) + ((y - y0) * dy)) / square, 0, 1);
                double ax = x - x0 - (along * dx);
                double ay = y - y0 - (along * dy);
                float cover = (float)Math.Clamp(radius + 0.5 - Math.Sqrt((ax * ax) + (ay * ay)), 0, 1);
                ref float pixel = ref mask[(y * Width) + x];
                pixel = Math.Max(pixel, cover);
            }
        }
    }

    private void StartMask() => marked = (Width, Height, -1, -1);

    /// <summary>Inks what the strokes covered and leaves the mask empty.</summary>
    private void Apply(Ink ink)
    {
        for (int y = marked.Top; y <= marked.Bottom; y++)
        {
            for (int x = marked.Left; x <= marked.Right; x++)
            {
                Blend(x, y, ink, mask[(y * Width) + x]);
                mask[(y * Width) + x] = 0;
            }
        }
    }

    private void Blend(int x, int y, Ink ink, float cover)
    {
        if (x < 0 || y < 0 || x >= Width || y >= Height || cover <= 0)
        {
            return;
        }

        int at = ((y * Width) + x) * 3;
        rgb[at] = Mix(rgb[at], ink.Red, cover);
        rgb[at + 1] = Mix(rgb[at + 1], ink.Green, cover);
        rgb[at + 2] = Mix(rgb[at + 2], ink.Blue, cover);
    }

    /// <summary>Eight steps of cover are smooth to the eye and keep the colours few.</summary>
    private static byte Mix(byte under, byte over, float cover) => (byte)(under + ((over - under) * MathF.Round(cover * 8) / 8) + 0.5f);
}

/// <summary>A colour.</summary>
internal readonly record struct Ink(byte Red, byte Green, byte Blue)
{
    /// <summary>Reads "#rrggbb".</summary>
    public static Ink Of(string hex) => new(Convert.ToByte(hex[1..3], 16), Convert.ToByte(hex[3..5], 16), Convert.ToByte(hex[5..7], 16));
}
