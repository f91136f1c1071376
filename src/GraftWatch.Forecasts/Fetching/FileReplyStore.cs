using System.Security.Cryptography;
using System.Text;
using GraftWatch.Rounds.Ports;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>Replies kept as files of one folder, one a key; a file appears whole or not at all, and one that cannot be read counts as not kept.</summary>
/// <param name="folder">The folder; made when it is not there.</param>
/// <remarks>A file is six lines of text (form, key, entity tag, last change, expiry, time of fetching) and the body behind them.</remarks>
public sealed class FileReplyStore(string folder) : IReplyStore
{
    private const string Form = "graftwatch reply 1";
    private const int HeadLines = 6;
    private static readonly InstantPattern Stamp = InstantPattern.ExtendedIso;

    /// <inheritdoc/>
    public async Task<KeptReply?> FindAsync(string key, CancellationToken cancellationToken)
    {
        try
        {
            byte[] bytes = await File.ReadAllBytesAsync(PathOf(key), cancellationToken).ConfigureAwait(false);
            return Read(bytes, key);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return null;
        }
    }

    /// <inheritdoc/>
    public async Task SaveAsync(KeptReply reply, CancellationToken cancellationToken)
    {
        string head = string.Join('\n', Form, Line(reply.Key), Line(reply.ETag), Line(reply.LastModified), reply.Expires is { } e ? Stamp.Format(e) : string.Empty, Stamp.Format(reply.FetchedAt), string.Empty);
        string path = PathOf(reply.Key), fresh = path + "." + Guid.NewGuid().ToString("N");
        try
        {
            Directory.CreateDirectory(folder);
            await using (var file = new FileStream(fresh, FileMode.CreateNew, FileAccess.Write))
            {
                await file.WriteAsync(Encoding.UTF8.GetBytes(head), cancellationToken).ConfigureAwait(false);
                await file.WriteAsync(reply.Body, cancellationToken).ConfigureAwait(false);
            }

            File.Move(fresh, path, overwrite: true);
        }
        catch (Exception problem) when (problem is IOException or UnauthorizedAccessException)
        {
            // A full or read-only disk costs a conditional request tomorrow, not the letter today.
            Discard(fresh);
        }
    }

    private static KeptReply? Read(byte[] bytes, string key)
    {
        var lines = new string[HeadLines];
        int at = 0;
        for (int i = 0; i < HeadLines; i++)
        {
            int end = Array.IndexOf(bytes, (byte)'\n', at);
            if (end < 0)
            {
                return null;
            }

            lines[i] = Encoding.UTF8.GetString(bytes, at, end - at);
            at = end + 1;
        }

        ParseResult<Instant> expires = Stamp.Parse(lines[4]), fetched = Stamp.Parse(lines[5]);
        return lines[0] == Form && lines[1] == Line(key) && fetched.Success
            ? new KeptReply(key, bytes.AsMemory(at), Known(lines[2]), Known(lines[3]), expires.Success ? expires.Value : null, fetched.Value)
            : null;
    }

    private static void Discard(string path)
    {
        try
        {
            File.Delete(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // It stays behind, under a name nobody reads.
        }
    }

    private static string Line(string? text) => text?.ReplaceLineEndings(" ") ?? string.Empty;

    private static string? Known(string line) => line.Length == 0 ? null : line;

    private string PathOf(string key) => Path.Combine(folder, Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(key)).AsSpan(0, 16)) + ".reply");
}
