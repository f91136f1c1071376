using System.Buffers;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>A body read whole, decompressed, up to a limit, into borrowed memory: valid until disposed.</summary>
internal sealed class BoundedBody : IDisposable
{
    private byte[] buffer = ArrayPool<byte>.Shared.Rent(64 * 1024);
    private int length;

    private BoundedBody()
    {
    }

    /// <summary>The bytes; copy what must outlast this.</summary>
    public ReadOnlyMemory<byte> Bytes => buffer.AsMemory(0, length);

    /// <summary>Whether there was more than the limit; the bytes are then only the beginning.</summary>
    public bool IsTooLong { get; private set; }

    /// <summary>Reads all of a body.</summary>
    /// <exception cref="IOException">The connection broke.</exception>
    public static async Task<BoundedBody> ReadAsync(HttpContent content, int mostBytes, CancellationToken cancellationToken)
    {
        var body = new BoundedBody();
        try
        {
            await body.FillAsync(content, mostBytes, cancellationToken).ConfigureAwait(false);
            return body;
        }
        catch
        {
            body.Dispose();
            throw;
        }
    }

    public void Dispose()
    {
        ArrayPool<byte>.Shared.Return(buffer);
        (buffer, length) = ([], 0);
    }

    private async Task FillAsync(HttpContent content, int mostBytes, CancellationToken cancellationToken)
    {
        IsTooLong = content.Headers.ContentLength > mostBytes;
        await using Stream stream = await content.ReadAsStreamAsync(cancellationToken).ConfigureAwait(false);
        while (!IsTooLong)
        {
            if (length == buffer.Length)
            {
                byte[] larger = ArrayPool<byte>.Shared.Rent(2 * buffer.Length);
                buffer.AsSpan(0, length).CopyTo(larger);
                ArrayPool<byte>.Shared.Return(buffer);
                buffer = larger;
            }

            int read = await stream.ReadAsync(buffer.AsMemory(length), cancellationToken).ConfigureAwait(false);
            if (read == 0)
            {
                return;
            }

            length += read;
            IsTooLong = length > mostBytes;
        }
    }
}
