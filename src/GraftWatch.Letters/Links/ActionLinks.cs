using System.Buffers.Binary;
using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;
using NodaTime;

namespace GraftWatch.Letters.Links;

/// <summary>Makes and reads the signed links of letters.</summary>
/// <remarks>
/// A link names grower, day, advice and answer, ends at an instant and is signed with HMAC-SHA-256 (RFC 2104) cut to 160 bits.
/// It signs nobody in. A page fetched by GET may only show; only a POST may act, because mail scanners follow every link.
/// The same letter always gets the same links: nothing random is in them.
/// </remarks>
public sealed class ActionLinks
{
    private const byte Version = 1;
    private const int MacLength = 20;
    private const int LongestToken = 1024;
    private static readonly UTF8Encoding Utf8 = new(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true);
    private readonly byte[][] keys;
    private readonly string root;

    /// <summary>Creates the maker and reader.</summary>
    /// <param name="publicAddress">Public address of the pages, with any path, such as <c>https://example.org/grafts</c>.</param>
    /// <param name="keys">Secret keys, at least 32 bytes each; the first signs, the others are old ones that still read.</param>
    public ActionLinks(Uri publicAddress, IReadOnlyList<byte[]> keys)
    {
        ArgumentNullException.ThrowIfNull(publicAddress);
        ArgumentNullException.ThrowIfNull(keys);
        if (!publicAddress.IsAbsoluteUri || publicAddress.Scheme is not ("https" or "http") || publicAddress.UserInfo.Length > 0)
        {
            throw new ArgumentException("The public address must be a full https:// or http:// address without a user name.", nameof(publicAddress));
        }

        if (keys.Count == 0 || keys.Any(key => key.Length < 32))
        {
            throw new ArgumentException("At least one key of 32 bytes or more is needed.", nameof(keys));
        }

        this.keys = [.. keys.Select(key => HKDF.DeriveKey(HashAlgorithmName.SHA256, key, 32, info: "graftwatch letter links 1"u8.ToArray()))];
        root = publicAddress.GetLeftPart(UriPartial.Path).TrimEnd('/');
        IsHttps = publicAddress.Scheme == "https";
    }

    /// <summary>Whether the pages are reached over TLS; one-click headers need it (RFC 8058).</summary>
    public bool IsHttps { get; }

    /// <summary>Path below the public address that leads to <see cref="TryRead"/>.</summary>
    public const string Path = "/w/";

    /// <summary>Whether a grower's name or an advice's id fits a link: well-formed, at most 255 bytes of UTF-8.</summary>
    public static bool CanHold(string name)
    {
        ArgumentNullException.ThrowIfNull(name);
        try
        {
            return Utf8.GetByteCount(name) <= 255;
        }
        catch (EncoderFallbackException)
        {
            return false;
        }
    }

    /// <summary>The full address of a link.</summary>
    /// <exception cref="ArgumentException">A name does not fit, see <see cref="CanHold"/>.</exception>
    public Uri For(ActionLink link) => new(root + Path + Token(link));

    /// <summary>The token alone.</summary>
    public string Token(ActionLink link)
    {
        ArgumentNullException.ThrowIfNull(link);
        byte[] body = Encode(link);
        byte[] whole = new byte[body.Length + MacLength];
        body.CopyTo(whole, 0);
        Sign(keys[0], body, whole.AsSpan(body.Length));
        return Base64Url.EncodeToString(whole);
    }

    /// <summary>Reads a token; changes nothing and never throws.</summary>
    /// <param name="token">What stood after <see cref="Path"/>.</param>
    /// <param name="now">The instant of the request.</param>
    /// <param name="link">The link when it is genuine, also when it has ended.</param>
    public LinkState TryRead(string? token, Instant now, out ActionLink? link)
    {
        link = null;
        if (string.IsNullOrEmpty(token) || token.Length > LongestToken || !Base64Url.IsValid(token))
        {
            return LinkState.Foreign;
        }

        byte[] whole = Base64Url.DecodeFromChars(token);
        if (whole.Length <= MacLength || Base64Url.EncodeToString(whole) != token)
        {
            return LinkState.Foreign;
        }

        ReadOnlySpan<byte> body = whole.AsSpan(0, whole.Length - MacLength);
        ReadOnlySpan<byte> mac = whole.AsSpan(body.Length);
        bool genuine = false;
        Span<byte> wanted = stackalloc byte[MacLength];
        foreach (byte[] key in keys)
        {
            Sign(key, body, wanted);
            genuine |= CryptographicOperations.FixedTimeEquals(wanted, mac);
        }

        if (!genuine || !TryDecode(body, out link))
        {
            link = null;
            return LinkState.Foreign;
        }

        return now < link!.Ends ? LinkState.Good : LinkState.Ended;
    }

    private static void Sign(byte[] key, ReadOnlySpan<byte> body, Span<byte> mac)
    {
        Span<byte> full = stackalloc byte[HMACSHA256.HashSizeInBytes];
        HMACSHA256.HashData(key, body, full);
        full[..MacLength].CopyTo(mac);
    }

    private static byte[] Encode(ActionLink link)
    {
        if (!CanHold(link.Grower) || !CanHold(link.Advice))
        {
            throw new ArgumentException("Names in links are well-formed and at most 255 bytes of UTF-8.", nameof(link));
        }

        byte[] grower = Utf8.GetBytes(link.Grower);
        byte[] advice = Utf8.GetBytes(link.Advice);
        byte[] body = new byte[2 + 4 + 8 + 1 + grower.Length + 1 + advice.Length];
        body[0] = Version;
        body[1] = (byte)link.Answer;
        BinaryPrimitives.WriteInt32BigEndian(body.AsSpan(2), link.Day.ToYearMonthDayNumber());
        BinaryPrimitives.WriteInt64BigEndian(body.AsSpan(6), link.Ends.ToUnixTimeSeconds());
        body[14] = (byte)grower.Length;
        grower.CopyTo(body, 15);
        body[15 + grower.Length] = (byte)advice.Length;
        advice.CopyTo(body, 16 + grower.Length);
        return body;
    }

    private static bool TryDecode(ReadOnlySpan<byte> body, out ActionLink? link)
    {
        link = null;
        if (body.Length < 16 || body[0] != Version || !Enum.IsDefined((WorkAnswer)body[1]))
        {
            return false;
        }

        int growerLength = body[14];
        if (body.Length < 16 + growerLength || body.Length != 16 + growerLength + body[15 + growerLength])
        {
            return false;
        }

        int day = BinaryPrimitives.ReadInt32BigEndian(body[2..]);
        LocalDate date = new(day / 10000, day / 100 % 100, day % 100);
        link = new ActionLink(
            (WorkAnswer)body[1],
            Utf8.GetString(body.Slice(15, growerLength)),
            date,
            Utf8.GetString(body[(16 + growerLength)..]),
            Instant.FromUnixTimeSeconds(BinaryPrimitives.ReadInt64BigEndian(body[6..])));
        return true;
    }
}

/// <summary>What a link says.</summary>
/// <param name="Answer">What it asks for.</param>
/// <param name="Grower">Grower's name.</param>
/// <param name="Day">Local day of the letter.</param>
/// <param name="Advice">Id of the advice; empty for links about the whole letter.</param>
/// <param name="Ends">First instant at which it no longer acts.</param>
public sealed record ActionLink(WorkAnswer Answer, string Grower, LocalDate Day, string Advice, Instant Ends);

/// <summary>What became of reading a token.</summary>
public enum LinkState
{
    /// <summary>Not ours, cut or changed: answer 404 and say no more.</summary>
    Foreign = 0,

    /// <summary>Ours and in force.</summary>
    Good,

    /// <summary>Ours, but its time is over: show what it was and offer the day's page.</summary>
    Ended,
}

internal static class LinkDates
{
    /// <summary>The date as the number yyyymmdd.</summary>
    public static int ToYearMonthDayNumber(this LocalDate date) => (date.Year * 10000) + (date.Month * 100) + date.Day;
}
