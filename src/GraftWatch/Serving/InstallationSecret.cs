using GraftWatch.Records;

namespace GraftWatch.Serving;

/// <summary>The secret of this installation, read from the store when first needed. Links and channel secrets are derived from it.</summary>
internal sealed class InstallationSecret(StoreNotes notes)
{
    private readonly Lazy<byte[]> secret = new(() => notes.LoadSecretAsync(CancellationToken.None).GetAwaiter().GetResult());

    /// <summary>32 bytes.</summary>
    internal byte[] Value => secret.Value;
}
