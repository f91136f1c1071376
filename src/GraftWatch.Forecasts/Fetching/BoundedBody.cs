using System.Buffers;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Reads a body, decompressed, up to a limit.</summary>
internal static class BoundedBody
{
    /// <summary>Reads all of a body.</summary>
    /// <returns>The bytes, or null when there are more than <paramref name="mostBytes"/>.</returns>
    /// <exception cref="IOException">The connection broke.</exception>
    public static async Task<ReadOnlyMemory<byte>?> ReadAsync(HttpContent content, int mostBytes, CancellationToken cancellationToken)
    {
        if (content.Headers.ContentLength > mostBytes)
        {
            return null;
        }

        var buffer = new ArrayBufferWriter<byte>((int)(content.Headers.ContentLength ?? 64 * 1024) + 1);
        await using Stream stream = await content.ReadAsStreamAsync(cancellationToken).ConfigureAwait(false);
        while (true)
        {
            Memory<byte> free = buffer.GetMemory(4096);
            int read = await stream.ReadAsync(free, cancellationToken).ConfigureAwait(false);
            if (read == 0)
            {
                return buffer.WrittenMemory;
            }

            buffer.Advance(read);
            if (buffer.WrittenCount > mostBytes)
            {
                return null;
            }
        }
    }
}
