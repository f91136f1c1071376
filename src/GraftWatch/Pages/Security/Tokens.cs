using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;

namespace GraftWatch.Pages.Security;

/// <summary>Random tokens: 256 bits go out, only their hash is kept.</summary>
internal static class Tokens
{
    private const int Length = 32;

    /// <summary>A fresh token.</summary>
    internal static string Fresh() => Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(Length));

    /// <summary>Whether something looks like a token of ours; everything else is not worth a look into the store.</summary>
    internal static bool IsShaped(string? token) => token is { Length: 43 } && Base64Url.IsValid(token);

    /// <summary>What is kept of a token.</summary>
    internal static byte[] Hash(string token) => SHA256.HashData(Encoding.UTF8.GetBytes(token));

    /// <summary>A keyed digest in text.</summary>
    internal static string Seal(byte[] key, string words) => Base64Url.EncodeToString(HMACSHA256.HashData(key, Encoding.UTF8.GetBytes(words)));

    /// <summary>A word in letters that fit an address.</summary>
    internal static string Letters(string word) => Base64Url.EncodeToString(Encoding.UTF8.GetBytes(word));

    /// <summary>The word <see cref="Letters"/> wrote; empty when it is none.</summary>
    internal static string Word(string letters) => Base64Url.IsValid(letters) ? Encoding.UTF8.GetString(Base64Url.DecodeFromChars(letters)) : string.Empty;

    /// <summary>Compares without telling by its time where two differ.</summary>
    internal static bool AreEqual(string one, string other) =>
        CryptographicOperations.FixedTimeEquals(Encoding.UTF8.GetBytes(one), Encoding.UTF8.GetBytes(other));
}
