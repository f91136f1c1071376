using GraftWatch.Commands;
using GraftWatch.Records;
using GraftWatch.Records.Backups;
using GraftWatch.Records.Housekeeping;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using NodaTime;
using Quartz;

namespace GraftWatch.Serving;

/// <summary>Keeps the store, once a local night: a proven copy, nothing kept that nobody needs, room given back. And looks at the disk every hour.</summary>
/// <remarks>A store on a server is only tidied, by one of the daemons that share it; copies are the server's affair.</remarks>
[DisallowConcurrentExecution]
internal sealed class HouseJob(
    BeatGuard guard, DiskWatch disk, RecordsStore store, GrowersInForce growers, SettingsInForce settings, ServeState state, TimeProvider clock, ILogger<HouseJob> logger) : IJob
{
    /// <summary>Name under which nights are noted.</summary>
    internal const string Night = "night";

    private static readonly LocalTime From = new(2, 0);
    private static readonly Duration BeforeLetters = Duration.FromMinutes(60);
    private static readonly Duration AfterLetters = Duration.FromMinutes(30);
    private static readonly Duration LongestWait = Duration.FromHours(12);

    public ValueTask Execute(IJobExecutionContext context, CancellationToken cancellationToken = default) =>
        guard.RunAsync(context, () => WorkAsync(cancellationToken), cancellationToken);

    private async Task WorkAsync(CancellationToken cancellationToken)
    {
        try
        {
            Instant now = Now();
            await disk.LookAsync(now, cancellationToken).ConfigureAwait(false);
            IReadOnlyList<Grower> served = (await growers.LoadAsync(cancellationToken).ConfigureAwait(false)).Morning.Growers;
            LocalDate night = NightOf(now, served.Count > 0 ? served[0].Zone : DateTimeZone.Utc, out Instant due);
            JobRun? last = await store.Jobs.LoadLastGoodAsync(Night, cancellationToken).ConfigureAwait(false);
            if (last?.DueAt >= due || (now - due < LongestWait && !IsQuiet(served, now)))
            {
                return;
            }

            string done = await KeepAsync(night, cancellationToken).ConfigureAwait(false);
            await store.Jobs.RecordAsync(new JobRun(Night, due, now, Now(), Good: true, done), CancellationToken.None).ConfigureAwait(false);
            await disk.LookAsync(now, cancellationToken).ConfigureAwait(false);
        }
        catch (Exception e) when (e is not OperationCanceledException || !cancellationToken.IsCancellationRequested)
        {
            state.Installation("house", "the store could not be kept last night: " + e.Message);
            Log.HouseFailed(logger, e);
        }
    }

    /// <summary>The latest night that has begun by an instant.</summary>
    internal static LocalDate NightOf(Instant now, DateTimeZone zone, out Instant due)
    {
        LocalDate date = now.InZone(zone).Date;
        while (true)
        {
            if (LetterSchedule.DueAt(zone, From, date) is { } begins && begins <= now)
            {
                due = begins;
                return date;
            }

            date = date.PlusDays(-1);
        }
    }

    /// <summary>Whether no letter hour is near.</summary>
    internal static bool IsQuiet(IReadOnlyList<Grower> served, Instant now) =>
        served.All(grower => LetterSchedule.NextDue(grower, now - AfterLetters).At > now + BeforeLetters);

    private async Task<string> KeepAsync(LocalDate night, CancellationToken cancellationToken)
    {
        string copied = string.Empty;
        if (store is SqliteStore file)
        {
            var shelf = new BackupShelf(BackupCommand.ShelfOf(settings.Current));
            BackupProof proof = await shelf.KeepAsync(file, night, cancellationToken).ConfigureAwait(false);
            Log.BackedUp(logger, proof.Path, proof.Rows);
            copied = $"copied to {proof.Path}; ";
            string? damaged = await shelf.FindDamagedAsync(night, cancellationToken).ConfigureAwait(false);
            state.Installation("copies", damaged);
            if (damaged is not null)
            {
                Log.CopyDamaged(logger, damaged);
            }
        }

        TidyReport tidied = await store.House.TidyAsync(night, Retention.Usual, [.. settings.Current.Morning.Places.Keys], cancellationToken).ConfigureAwait(false);
        state.Installation("house", null);
        state.Installation("without-address", tidied.WithoutAddress.Length > 0 ? tidied.WithoutAddress.TrimEnd('.') : null);
        string stray = tidied.StrayPlaces + tidied.StrayGrowers > 0 ? $"; took out {tidied.StrayPlaces} places and {tidied.StrayGrowers} growers that were nobody's" : string.Empty;
        return $"{copied}let go the bytes of {tidied.LetGo} letters; dropped {tidied.Letters} letters, {tidied.JobRuns} runs and {tidied.WeatherDays} days of weather{stray}";
    }

    private Instant Now() => Instant.FromDateTimeOffset(clock.GetUtcNow());
}
