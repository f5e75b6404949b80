using Dancerwatch.EdgeAgent.Outbox;

namespace Dancerwatch.EdgeAgent.Tests.Outbox;

public sealed class WakeUpTests
{
    [Fact]
    public void Set_twice_before_anybody_looks_it_wakes_once()
    {
        using WakeUp wakeUp = new();
        wakeUp.Set();
        wakeUp.Set();

        Assert.True(wakeUp.WaitAsync(CancellationToken.None).IsCompletedSuccessfully);
        Assert.False(wakeUp.WaitAsync(TestContext.Current.CancellationToken).IsCompleted);
    }

    [Fact]
    public void A_timer_that_calls_a_moment_too_late_takes_nothing_with_it()
    {
        WakeUp wakeUp = new();
        wakeUp.Dispose();

        Assert.Null(Record.Exception(wakeUp.Set));
    }
}
