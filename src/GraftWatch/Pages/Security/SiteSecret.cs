using System.Security.Cryptography;
using System.Text;
using GraftWatch.Records;

namespace GraftWatch.Pages.Security;

/// <summary>Keys of the pages, each made from the installation's secret for one purpose.</summary>
internal sealed class SiteSecret(RecordsStore store)
{
    private readonly Lock gate = new();
    private Task<byte[]>? secret;

    /// <summary>The key of a purpose, 32 bytes.</summary>
    internal async Task<byte[]> KeyAsync(string purpose) =>
        HKDF.DeriveKey(HashAlgorithmName.SHA256, await RootAsync().ConfigureAwait(false), 32, info: Encoding.UTF8.GetBytes("graftwatch pages " + purpose));

    /// <summary>The installation's secret; letters sign their links with it.</summary>
    internal Task<byte[]> RootAsync()
    {
        lock (gate)
        {
            if (secret is null or { IsFaulted: true } or { IsCanceled: true })
            {
                secret = store.Notes.LoadSecretAsync(CancellationToken.None);
            }

            return secret;
        }
    }
}
