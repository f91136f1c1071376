using System.Globalization;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Records.Backups;

/// <summary>A folder with one copy a day: the newest seven, and of older ones the newest of each of four weeks.</summary>
public sealed class BackupShelf(string folder)
{
    private const string Prefix = "graftwatch-";
    private const string Suffix = ".db";
    private const int Days = 7, Weeks = 4;

    /// <summary>Makes and proves the copy of a day, then drops what is no longer kept.</summary>
    public async Task<BackupProof> KeepAsync(SqliteStore store, LocalDate today, CancellationToken cancellationToken)
    {
        BackupProof proof = await Backup.MakeAsync(store, PathOf(today), cancellationToken).ConfigureAwait(false);
        foreach (LocalDate day in Dates().Except(Kept(Dates())))
        {
            File.Delete(PathOf(day));
        }

        return proof;
    }

    /// <summary>Opens one of the older copies, each in its turn, and checks its pages: disks forget, and a copy is wanted on the worst of days.</summary>
    /// <param name="today">Day whose copy was just proven; the day also says whose turn it is.</param>
    /// <param name="cancellationToken">Stops before the check.</param>
    /// <returns>A sentence about the copy that could not be restored; null when it could.</returns>
    public Task<string?> FindDamagedAsync(LocalDate today, CancellationToken cancellationToken) => Task.Run(
        () =>
        {
            LocalDate[] older = [.. Dates().Where(day => day != today)];
            if (older.Length == 0)
            {
                return null;
            }

            LocalDate turn = older[(Period.DaysBetween(new LocalDate(2000, 1, 1), today) % older.Length + older.Length) % older.Length];
            try
            {
                Backup.Prove(PathOf(turn), expectedHash: null);
                return null;
            }
            catch (Exception failure) when (failure is BackupFailedException or StoreRefusedException or Microsoft.Data.Sqlite.SqliteException or IOException or UnauthorizedAccessException)
            {
                return $"The copy {PathOf(turn)} cannot be restored any more: {failure.Message.TrimEnd('.')}. Delete it, and look at the disk.";
            }
        },
        cancellationToken);

    /// <summary>Days that have a copy, oldest first.</summary>
    public IReadOnlyList<LocalDate> Dates() => Directory.Exists(folder)
        ? [.. Directory.EnumerateFiles(folder, Prefix + "*" + Suffix).Select(DateOf).OfType<LocalDate>().Order()]
        : [];

    /// <summary>Which of these days keep their copies.</summary>
    public static IReadOnlyList<LocalDate> Kept(IReadOnlyList<LocalDate> dates)
    {
        LocalDate[] newestFirst = [.. dates.OrderDescending()];
        IEnumerable<LocalDate> weekly = newestFirst.Skip(Days)
            .GroupBy(date => (NodaTime.Calendars.WeekYearRules.Iso.GetWeekYear(date), NodaTime.Calendars.WeekYearRules.Iso.GetWeekOfWeekYear(date)))
            .Take(Weeks)
            .Select(week => week.Max());
        return [.. newestFirst.Take(Days).Concat(weekly).Order()];
    }

    private string PathOf(LocalDate day) => Path.Combine(folder, Prefix + day.ToString("uuuu-MM-dd", CultureInfo.InvariantCulture) + Suffix);

    private static LocalDate? DateOf(string path)
    {
        ParseResult<LocalDate> date = LocalDatePattern.Iso.Parse(Path.GetFileName(path)[Prefix.Length..^Suffix.Length]);
        return date.Success ? date.Value : null;
    }
}
