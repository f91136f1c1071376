namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>A daemon that is told to end while letters are on its lines to a slow mail server.</summary>
public sealed class StoppedDaemonTests
{
    private static readonly TimeSpan Limit = TimeSpan.FromMinutes(2);

    [Fact]
    public async Task Letters_on_the_line_are_ended_and_noted_before_the_program_ends()
    {
        await using Region region = await Region.StartAsync(growers: 6, mailMs: 6000, fileStore: true);
        await using (ServeProcess first = region.Serve())
        {
            await region.OnTheServerAsync(1, Limit, first);
            Assert.Equal(0, await first.EndAsync());
        }

        await using ServeProcess second = region.Serve();
        await region.AllReceivedAsync(Limit, second);
        await region.AssertOneEachAsync();
    }
}
