using System.Buffers.Binary;
using System.IO.Compression;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Picture;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using MimeKit;

namespace GraftWatch.Letters.Tests;

public class OutlookPictureTests
{
    [Fact]
    public void The_words_say_what_the_picture_shows()
    {
        RenderedPicture picture = OutlookPicture.Render(Some.Outlook(), Some.Round())!;

        Assert.Equal(
            "Picture: cambium at B2-01 until Tue\u00A000:00: at most 41.0\u00A0°C (15:00) if nothing is done, 33.8\u00A0°C with padded paper; "
            + "level 38.0\u00A0°C; frost in 3 hours; gusts over their level in 4 hours.",
            picture.Words);
    }

    [Fact]
    public void The_file_is_a_sound_PNG()
    {
        byte[] png = OutlookPicture.Render(Some.Outlook(), Some.Round())!.Png;

        (int width, int height, byte[] rows) = Decode(png);

        Assert.Equal((780, 500), (width, height));
        Assert.Equal(781 * 500, rows.Length);
        Assert.InRange(png.Length, 5_000, 30_000);
    }

    [Fact]
    public void Text_is_drawn_whatever_fonts_the_machine_has()
    {
        // The title's ink stands above the plot, left of its middle; a picture whose letters vanished has none there.
        byte[] png = OutlookPicture.Render(Some.Outlook(), Some.Round())!.Png;
        (int width, _, byte[] rows) = Decode(png);
        byte[] pixels = Unfilter(rows, width);
        byte[] palette = Palette(png);

        int dark = 0;
        for (int y = 8; y < 40; y++)
        {
            for (int x = 78; x < 500; x++)
            {
                dark += palette[pixels[(y * width) + x] * 3] < 100 ? 1 : 0;
            }
        }

        Assert.InRange(dark, 300, 6000);
    }

    [Fact]
    public void A_gap_in_the_hours_is_no_line_and_too_few_hours_are_no_picture()
    {
        UnionOutlook outlook = Some.Outlook();
        Assert.NotNull(OutlookPicture.Render(outlook with { WithoutC = [.. outlook.WithoutC.Select((v, i) => i is > 20 and < 40 ? double.NaN : v)] }, Some.Round()));
        Assert.Null(OutlookPicture.Render(outlook with { WithoutC = [.. outlook.WithoutC.Select(_ => double.NaN)] }, Some.Round()));
        Assert.Null(OutlookPicture.Render(outlook with { At = [], WithoutC = [], WithC = [] }, Some.Round()));
    }

    [Fact]
    public void The_picture_travels_inside_the_letter_and_only_when_the_grower_wants_it()
    {
        Round round = Some.Round() with { Outlook = Some.Outlook() };
        var mail = new MailOptions { From = "letters@orchard.example" };

        SealedLetter with = new LetterComposer(mail).Compose(round, Some.Grower(), 1, Some.Morning);
        SealedLetter without = new LetterComposer(mail, choices: _ => new LetterChoices(Picture: false)).Compose(round, Some.Grower(), 1, Some.Morning);

        using var message = MimeMessage.Load(new MemoryStream(with.Bytes.ToArray()));
        MimePart png = message.BodyParts.OfType<MimePart>().Single(p => p.ContentType.MimeType == "image/png");
        Assert.Contains("src=\"cid:" + png.ContentId + "\"", message.HtmlBody, StringComparison.Ordinal);
        Assert.EndsWith("@orchard.example", png.ContentId, StringComparison.Ordinal);
        Assert.DoesNotContain("http", message.HtmlBody, StringComparison.Ordinal);
        Assert.DoesNotContain("image/png", Encoding.Latin1.GetString(without.Bytes.Span), StringComparison.Ordinal);
    }

    /// <summary>Reads chunks and checks each CRC bit by bit, as Annex D of the PNG specification computes it.</summary>
    private static (int Width, int Height, byte[] Rows) Decode(byte[] png)
    {
        Assert.Equal("89504E470D0A1A0A", Convert.ToHexString(png.AsSpan(0, 8)));
        using var data = new MemoryStream();
        int width = 0;
        int height = 0;
        string last = string.Empty;
        for (int at = 8; at < png.Length;)
        {
            int length = BinaryPrimitives.ReadInt32BigEndian(png.AsSpan(at));
            last = Encoding.ASCII.GetString(png.AsSpan(at + 4, 4));
            Span<byte> body = png.AsSpan(at + 8, length);
            Assert.Equal(Crc(png.AsSpan(at + 4, length + 4)), BinaryPrimitives.ReadUInt32BigEndian(png.AsSpan(at + 8 + length)));
            if (last == "IHDR")
            {
                (width, height) = (BinaryPrimitives.ReadInt32BigEndian(body), BinaryPrimitives.ReadInt32BigEndian(body[4..]));
            }
            else if (last == "IDAT")
            {
                data.Write(body);
            }

            at += 12 + length;
        }

        Assert.Equal("IEND", last);
        data.Position = 0;
        using var zlib = new ZLibStream(data, CompressionMode.Decompress);
        using var rows = new MemoryStream();
        zlib.CopyTo(rows);
        return (width, height, rows.ToArray());
    }

    private static byte[] Palette(byte[] png)
    {
        int at = png.AsSpan().IndexOf("PLTE"u8);
        return png.AsSpan(at + 4, BinaryPrimitives.ReadInt32BigEndian(png.AsSpan(at - 4))).ToArray();
    }

    private static byte[] Unfilter(byte[] rows, int stride)
    {
        int height = rows.Length / (stride + 1);
        byte[] pixels = new byte[stride * height];
        for (int y = 0; y < height; y++)
        {
            Assert.Equal(0, rows[y * (stride + 1)]);
            for (int x = 0; x < stride; x++)
            {
                pixels[(y * stride) + x] = rows[(y * (stride + 1)) + 1 + x];
            }
        }

        return pixels;
    }

    private static uint Crc(ReadOnlySpan<byte> bytes)
    {
        uint crc = 0xFFFFFFFF;
        foreach (byte b in bytes)
        {
            crc ^= b;
            for (int k = 0; k < 8; k++)
            {
                crc = (crc & 1) != 0 ? 0xEDB88320 ^ (crc >> 1) : crc >> 1;
            }
        }

        return crc ^ 0xFFFFFFFF;
    }
}
