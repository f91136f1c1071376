using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace GraftWatch.Letters.Channels;

/// <summary>Signs a message as the Standard Webhooks specification says: HMAC-SHA-256 over "id.timestamp.body".</summary>
internal static class WebhookSignature
{
    /// <summary>The value of the header <c>webhook-signature</c>; null when the secret is no base64 of 24 to 64 bytes.</summary>
    /// <param name="secret">Base64, with or without <c>whsec_</c>.</param>
    /// <param name="id">Id of the message, the same on every try.</param>
    /// <param name="unixSeconds">Time of the try.</param>
    /// <param name="body">Exact body.</param>
    public static string? Of(string secret, string id, long unixSeconds, ReadOnlySpan<byte> body)
    {
        Span<byte> key = stackalloc byte[128];
        string base64 = secret.StartsWith("whsec_", StringComparison.Ordinal) ? secret[6..] : secret;
        if (!Convert.TryFromBase64String(base64, key, out int length) || length is < 24 or > 64)
        {
            return null;
        }

        using var hmac = IncrementalHash.CreateHMAC(HashAlgorithmName.SHA256, key[..length]);
        hmac.AppendData(Encoding.UTF8.GetBytes(string.Create(CultureInfo.InvariantCulture, $"{id}.{unixSeconds}.")));
        hmac.AppendData(body);
        return "v1," + Convert.ToBase64String(hmac.GetHashAndReset());
    }
}
