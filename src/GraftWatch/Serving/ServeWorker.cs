using System.Globalization;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Serving;

/// <summary>The name this program claims letters under: the machine, the number its data folder got from the store, and which program of that folder it is.</summary>
/// <remarks>
/// The name is the same after a restart, so that letters in hand when a program died are taken back at once; two programs
/// that run at the same time never share it, for the second finds the folder's first place held.
/// </remarks>
internal sealed class ServeWorker(StoreNotes notes, string dataFolder) : IWorkerName, IDisposable
{
    private const int MostPrograms = 100;
    private FileStream? held;

    /// <inheritdoc/>
    public async Task<string> NameAsync(CancellationToken cancellationToken)
    {
        string machine = Environment.MachineName;
        int folder = await notes.NumberOfAsync("worker", $"{machine} {Path.GetFullPath(dataFolder)}", cancellationToken).ConfigureAwait(false);
        return string.Create(CultureInfo.InvariantCulture, $"{machine}/{folder}/{Take()}");
    }

    public void Dispose() => held?.Dispose();

    // The system lets the file go when the program ends, however it ends.
    private int Take()
    {
        Directory.CreateDirectory(dataFolder);
        for (int place = 1; place < MostPrograms; place++)
        {
            try
            {
                held = new FileStream(Path.Combine(dataFolder, string.Create(CultureInfo.InvariantCulture, $"worker-{place}.lock")), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
                return place;
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                // Another program of this folder has it, or one that ran as somebody else made it.
            }
        }

        throw new IOException($"{MostPrograms} programs work with {dataFolder}, or its files cannot be held.");
    }
}
