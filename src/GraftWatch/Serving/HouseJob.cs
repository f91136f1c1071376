using GraftWatch.Commands;
using GraftWatch.Records;
using GraftWatch.Records.Backups;
using GraftWatch.Records.Housekeeping;
using GraftWatch.Records.Inspection;
using NodaTime;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Keeps the store: a proven copy a day, and nothing kept that nobody needs.</summary>
[DisallowConcurrentExecution]
internal sealed class HouseJob(RecordsStore store, SettingsInForce settings, ServeState state, TimeProvider clock, ILogger<HouseJob> logger) : IJob
{
    public async ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default)
    {
        try
        {
            LocalDate today = Instant.FromDateTimeOffset(clock.GetUtcNow()).InUtc().Date;
            if (store is not SqliteStore file)
            {
                await store.House.TidyAsync(today, new Retention(), cancellationToken).ConfigureAwait(false);
                return;
            }

            var shelf = new BackupShelf(BackupCommand.ShelfOf(settings.Current));
            state.Room(StoreRoom.Trouble(file.Path, settings.Current.Morning.Growers.Count, DiskFacts.OfSystem));
            if (shelf.Dates().Contains(today))
            {
                return;
            }

            BackupProof proof = await shelf.KeepAsync(file, today, cancellationToken).ConfigureAwait(false);
            Log.BackedUp(logger, proof.Path, proof.Rows);
            string? damaged = await shelf.FindDamagedAsync(today, cancellationToken).ConfigureAwait(false);
            state.House(damaged is null ? [] : [damaged]);
            if (damaged is not null)
            {
                Log.CopyDamaged(logger, damaged);
            }

            await store.House.TidyAsync(today, new Retention(), cancellationToken).ConfigureAwait(false);
        }
        catch (Exception e) when (e is not OperationCanceledException || !cancellationToken.IsCancellationRequested)
        {
            state.House([$"The copy of the day could not be made: {e.Message}"]);
            Log.HouseFailed(logger, e);
        }
    }
}
