using System.Buffers.Binary;
using System.IO.Compression;
using System.Text;

namespace GraftWatch.Letters.Picture;

/// <summary>The letters of the picture, drawn beforehand and carried in the program: a machine without fonts shows the same picture.</summary>
internal sealed class Lettering
{
    private static readonly Lazy<Lettering> Loaded = new(Load);
    private readonly Dictionary<int, Glyph> glyphs = [];

    private Lettering(int ascent, int lineHeight)
    {
        Ascent = ascent;
        LineHeight = lineHeight;
    }

    /// <summary>The one set of letters.</summary>
    public static Lettering Set => Loaded.Value;

    /// <summary>Rows above the base line.</summary>
    public int Ascent { get; }

    /// <summary>Rows of a line.</summary>
    public int LineHeight { get; }

    /// <summary>How many letters there are.</summary>
    public int Count => glyphs.Count;

    /// <summary>Columns a text takes.</summary>
    public int Width(string text) => text.EnumerateRunes().Sum(rune => Of(rune).Advance);

    /// <summary>The letters of a text with the column each starts at; what is not drawn here becomes a question mark.</summary>
    public IEnumerable<(Glyph Glyph, int Column)> Lay(string text)
    {
        int column = 0;
        foreach (Rune rune in text.EnumerateRunes())
        {
            Glyph glyph = Of(rune);
            yield return (glyph, column);
            column += glyph.Advance;
        }
    }

    private Glyph Of(Rune rune) => glyphs.GetValueOrDefault(rune.Value == 0xA0 ? ' ' : rune.Value) ?? glyphs['?'];

    private static Lettering Load()
    {
        using Stream packed = typeof(Lettering).Assembly.GetManifestResourceStream("lettering.bin")
            ?? throw new InvalidOperationException("lettering.bin is not part of this build.");
        using var stream = new ZLibStream(packed, CompressionMode.Decompress);
        using var memory = new MemoryStream();
        stream.CopyTo(memory);
        byte[] bytes = memory.ToArray();
        const int Head = 5;
        const int Entry = 7;
        int count = BinaryPrimitives.ReadUInt16BigEndian(bytes.AsSpan(3));
        var lettering = new Lettering(bytes[1], bytes[2]);
        int pixels = Head + (count * Entry);
        for (int i = 0; i < count; i++)
        {
            ReadOnlySpan<byte> entry = bytes.AsSpan(Head + (i * Entry), Entry);
            int size = entry[5] * entry[6];
            lettering.glyphs[BinaryPrimitives.ReadUInt16BigEndian(entry)] =
                new Glyph(entry[2], (sbyte)entry[3], entry[4], entry[5], entry[6], bytes.AsMemory(pixels, size));
            pixels += size;
        }

        return lettering;
    }
}

/// <summary>One letter.</summary>
/// <param name="Advance">Columns to the next letter.</param>
/// <param name="Left">Columns before the first inked one.</param>
/// <param name="Top">Rows above the first inked one.</param>
/// <param name="Width">Inked columns.</param>
/// <param name="Height">Inked rows.</param>
/// <param name="Coverage">How much of each pixel is inked, row by row.</param>
internal sealed record Glyph(int Advance, int Left, int Top, int Width, int Height, ReadOnlyMemory<byte> Coverage);
