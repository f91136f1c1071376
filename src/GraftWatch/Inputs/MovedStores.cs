using GraftWatch.Records;
using GraftWatch.Records.Inspection;
using GraftWatch.Serving;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Inputs;

/// <summary>Keeps two stores of one installation from being served one after the other: letters would go out twice.</summary>
internal static class MovedStores
{
    /// <summary>Why the store may not be served; null when it may.</summary>
    internal static async Task<string?> WhyNotServedAsync(GraftWatchSettings installation, RecordsStore store, CancellationToken cancellationToken)
    {
        if (await store.Notes.WhyNotServedAsync(cancellationToken).ConfigureAwait(false) is { } sentence)
        {
            return $"{Installation.WhereStore(installation)}: {sentence}";
        }

        string file = ServeSettings.StorePath(installation);
        if (installation.Store.Kind != StoreKind.Postgresql || !File.Exists(file) || await store.Notes.WasUsedAsync(cancellationToken).ConfigureAwait(false))
        {
            return null;
        }

        try
        {
            StoreFindings found = await StoreInspection.LookAsync(file, DiskFacts.OfSystem, cancellationToken).ConfigureAwait(false);
            return found.Exists && found.MovedTo.Length == 0
                ? $"{Installation.WhereStore(installation)} is empty, and {file} holds what was sent so far: served now, letters would go out a second time. Run graftwatch move first; if that file is not wanted, move it away."
                : null;
        }
        catch (StoreRefusedException)
        {
            return null; // What cannot be opened sends nothing; it is not what is to be served.
        }
    }
}
