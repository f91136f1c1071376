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

    /// <summary>Opens every copy on the shelf and checks its pages: disks forget, and a copy is wanted on the worst of days.</summary>
    /// <returns>A sentence for each copy that could not be restored.</returns>
    public Task<IReadOnlyList<string>> FindDamagedAsync(CancellationToken cancellationToken) => Task.Run<IReadOnlyList<string>>(
        () =>
        {
            var damaged = new List<string>();
            foreach (LocalDate day in Dates())
            {
                cancellationToken.ThrowIfCancellationRequested();
                try
                {
                    Backup.Prove(PathOf(day), expectedHash: null);
                }
                catch (Exception failure) when (failure is BackupFailedException or StoreRefusedException or Microsoft.Data.Sqlite.SqliteException or IOException or UnauthorizedAccessException)
                {
                    damaged.Add($"The copy {PathOf(day)} cannot be restored any more: {failure.Message.TrimEnd('.')}. Delete it, and look at the disk.");
                }
            }

            return damaged;
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
