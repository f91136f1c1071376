using GraftWatch.Rounds.Ports;
using NodaTime.Text;

namespace GraftWatch.Serving;

/// <summary>Writes letters as files, for an installation without a mail server.</summary>
internal sealed class FolderChannel(string folder) : ILetterChannel
{
    /// <summary>Where letters go.</summary>
    internal string Folder => folder;

    /// <inheritdoc/>
    public async Task<DeliveryResult> DeliverAsync(SealedLetter letter, CancellationToken cancellationToken)
    {
        string name = $"{LocalDatePattern.Iso.Format(letter.Slot.Date)} {FileWords(letter.Slot.Grower)} {letter.Number}.eml";
        try
        {
            Directory.CreateDirectory(folder);
            string path = Path.Combine(folder, name);
            string half = path + ".part";
            await File.WriteAllBytesAsync(half, letter.Bytes, cancellationToken).ConfigureAwait(false);
            File.Move(half, path, overwrite: true);
            return DeliveryResult.Accepted(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.Connection, e.Message);
        }
    }

    private static string FileWords(string grower)
    {
        char[] kept = [.. grower.Select(letter => char.IsLetterOrDigit(letter) ? letter : '-').Take(40)];
        return new string(kept);
    }
}
