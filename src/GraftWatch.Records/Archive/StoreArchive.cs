using System.Data.Common;
using System.Text.Json;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Files;
using GraftWatch.Records.Growers;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Archive;

/// <summary>Everything a store holds as one JSON file, out and in again, on either database.</summary>
public sealed class StoreArchive
{
    private readonly SqlEngine engine;

    internal StoreArchive(SqlEngine engine) => this.engine = engine;

    /// <summary>Writes the archive beside its place, makes sure the disk has it, and puts it in place in one step.</summary>
    public Task ExportAsync(string path, CancellationToken cancellationToken) =>
        SafeFile.WriteAsync(path, stream => engine.ReadAsync(session => ArchiveExport.WriteAsync(session, stream), cancellationToken));

    /// <summary>Writes everything about one grower and their places, in the form of the whole archive.</summary>
    /// <param name="grower">Grower's name.</param>
    /// <param name="stream">Where to; can seek.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    public Task ExportGrowerAsync(string grower, Stream stream, CancellationToken cancellationToken) =>
        engine.ReadAsync(session => ArchiveExport.WriteAsync(session, stream, grower), cancellationToken);

    /// <summary>Fills an empty store, all or nothing.</summary>
    /// <param name="path">The archive.</param>
    /// <param name="firstLetterDate">
    /// First local day a letter may be made for. Earlier days may have had their letters after the archive was written, and
    /// letters that were waiting then are given up and say why. Null only when a stopped store moves to another database:
    /// then everything goes on where it stood.
    /// </param>
    /// <param name="now">The instant of the import.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    /// <exception cref="ArchiveRefusedException">The file cannot be read or the store is not empty; the store is as it was.</exception>
    public async Task<ArchiveCounts> ImportAsync(string path, LocalDate? firstLetterDate, Instant now, CancellationToken cancellationToken)
    {
        ArchiveDocument archive = await ReadAsync(path, cancellationToken).ConfigureAwait(false);
        try
        {
            return await engine.WriteAsync(
                async session =>
                {
                    // Somebody may be subscribing on the pages of a running serve just now: they come before, and the store is not empty, or after, and find their name taken.
                    await GrowerJoining.TakeTurnAsync(engine, session).ConfigureAwait(false);
                    return await new ArchiveImport(session, firstLetterDate, now).RunAsync(archive).ConfigureAwait(false);
                },
                cancellationToken).ConfigureAwait(false);
        }
        catch (Exception failure) when (failure is FormatException or ArgumentException)
        {
            throw new ArchiveRefusedException($"{path} cannot be imported: {failure.Message}", failure);
        }
        catch (DbException failure)
        {
            throw new ArchiveRefusedException($"{path} cannot be imported: two of its entries contradict each other, or the store fails ({failure.Message}).", failure);
        }
    }

    private static async Task<ArchiveDocument> ReadAsync(string path, CancellationToken cancellationToken)
    {
        try
        {
            FileStream stream = File.OpenRead(path);
            await using (stream.ConfigureAwait(false))
            {
                ArchiveDocument? archive = await JsonSerializer.DeserializeAsync(stream, ArchiveJson.Default.ArchiveDocument, cancellationToken).ConfigureAwait(false);
                return archive switch
                {
                    { Format: ArchiveDocument.FormatName, Version: >= ArchiveDocument.OldestVersion and <= ArchiveDocument.NewestVersion } => archive,
                    { Format: ArchiveDocument.FormatName, Version: > ArchiveDocument.NewestVersion } => throw new ArchiveRefusedException($"A newer GraftWatch wrote {path}: it is version {archive.Version}, this program reads versions up to {ArchiveDocument.NewestVersion}."),
                    _ => throw new ArchiveRefusedException($"{path} is no archive of GraftWatch."),
                };
            }
        }
        catch (JsonException failure)
        {
            throw new ArchiveRefusedException($"{path} is damaged or no archive: {failure.Message}", failure);
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            throw new ArchiveRefusedException($"{path} cannot be read: {failure.Message}", failure);
        }
    }
}

/// <summary>What an import brought in.</summary>
public sealed record ArchiveCounts(int Growers, int Grafts, int Letters, int WeatherDays);

/// <summary>Why letters of a restored store are not sent.</summary>
internal static class NotSent
{
    /// <summary>The outcome a restored waiting letter gets.</summary>
    public static readonly DeliveryResult BecauseRestored = new(DeliveryOutcome.GiveUp, DeliveryReason.TooLate, "not sent: restored");
}
