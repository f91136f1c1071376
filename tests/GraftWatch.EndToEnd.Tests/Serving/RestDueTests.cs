using GraftWatch.Serving;

namespace GraftWatch.EndToEnd.Tests.Serving;

public sealed class RestDueTests
{
    private readonly RestDue due = new();

    [Fact]
    public void While_work_goes_on_memory_is_kept()
    {
        for (int look = 1; look < 100; look++)
        {
            Assert.False(due.Ask(look * RestDue.Quiet));
        }
    }

    [Fact]
    public void After_work_memory_is_given_back_once()
    {
        Assert.False(due.Ask(RestDue.Worth));
        Assert.True(due.Ask(RestDue.Worth + 1));
        Assert.False(due.Ask(RestDue.Worth + 2));
        Assert.False(due.Ask((2 * RestDue.Worth) + 2));
        Assert.True(due.Ask((2 * RestDue.Worth) + 3));
    }

    [Fact]
    public void Little_is_not_worth_it_until_it_adds_up()
    {
        int rests = 0;
        const long Step = RestDue.Quiet / 4;
        for (long allocated = Step; allocated <= 4 * RestDue.Worth; allocated += Step)
        {
            rests += due.Ask(allocated) ? 1 : 0;
        }

        Assert.Equal(4, rests);
    }
}
