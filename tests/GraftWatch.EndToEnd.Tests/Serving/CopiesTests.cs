using GraftWatch.Records.Backups;

namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>What the daemon does for its store, and tells when it cannot.</summary>
public sealed class CopiesTests
{
    [Fact]
    public async Task A_copy_that_rots_on_the_shelf_is_told_with_the_next_copy()
    {
        await using ServeHarness serve = ServeHarness.Prepare("2026-05-12T09:00:00Z");
        await serve.StartAsync();
        string shelf = Path.Combine(serve.Folder, "data", "backups");
        string copy = Path.Combine(shelf, "graftwatch-2026-05-12.db");
        await serve.WaitAsync(() => File.Exists(copy), "the first copy");
        await serve.StopAsync();
        Assert.DoesNotContain(serve.LogLines, line => line.Contains("CopyDamaged", StringComparison.Ordinal));

        await using (var file = new FileStream(copy, FileMode.Open, FileAccess.ReadWrite))
        {
            for (long page = 1; page < file.Length / 4096; page++)
            {
                file.Position = page * 4096;
                file.Write([0xEE, 0xEE, 0xEE, 0xEE, 0xEE, 0xEE, 0xEE, 0xEE]);
            }
        }

        serve.Clock.Advance(TimeSpan.FromDays(1));
        await serve.StartAsync();
        await serve.WaitAsync(() => serve.Report.Troubles.Any(trouble => trouble.Contains("cannot be restored any more", StringComparison.Ordinal)), "the damaged copy to be told");
        Assert.Contains(serve.Report.Troubles, trouble => trouble.Contains(copy, StringComparison.Ordinal));
        Assert.Contains(serve.LogLines, line => line.Contains("CopyDamaged", StringComparison.Ordinal) && line.Contains("look at the disk", StringComparison.Ordinal));
        Assert.True(new BackupShelf(shelf).Dates().Count == 2);
    }

    [Fact]
    public async Task A_copy_that_cannot_be_made_is_told()
    {
        await using ServeHarness serve = ServeHarness.Prepare("2026-05-12T09:00:00Z");
        Directory.CreateDirectory(Path.Combine(serve.Folder, "data"));
        await File.WriteAllTextAsync(Path.Combine(serve.Folder, "data", "backups"), "a file in the way", TestContext.Current.CancellationToken);
        await serve.StartAsync();
        await serve.WaitAsync(() => serve.Report.Troubles.Any(trouble => trouble.Contains("could not be kept last night", StringComparison.Ordinal)), "the failed copy to be told");
    }
}
