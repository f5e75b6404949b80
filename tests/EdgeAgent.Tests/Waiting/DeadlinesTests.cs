using Dancerwatch.EdgeAgent.Waiting;

namespace Dancerwatch.EdgeAgent.Tests.Waiting;

public sealed class DeadlinesTests
{
    private readonly Deadlines _deadlines = new();

    [Fact]
    public void Who_waits_is_taken_once_when_the_instant_has_come_the_earliest_first()
    {
        (Somebody early, Somebody late) = (new(), new());
        _deadlines.Add(20, late);
        _deadlines.Add(10, early);

        Assert.Equal(10, _deadlines.Next);
        Assert.Null(_deadlines.TakeDue(9));
        Assert.Same(early, _deadlines.TakeDue(25));
        Assert.Same(late, _deadlines.TakeDue(25));
        Assert.Null(_deadlines.TakeDue(25));
        Assert.Equal(long.MaxValue, _deadlines.Next);
    }

    private sealed class Somebody : IWaiter
    {
        public void Wake() { }
    }
}
