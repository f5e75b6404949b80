using Dancerwatch.EdgeAgent.Mqtt.Sparkplug;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt.Sparkplug;

public sealed class RebirthGateTests
{
    private readonly FakeTimeProvider _time = new();
    private readonly RebirthGate _gate;

    public RebirthGateTests() => _gate = new RebirthGate(_time);

    [Fact]
    public void Unasked_nothing_is_let_through()
    {
        Assert.Null(_gate.Wait());
        Assert.False(_gate.TryTake());
    }

    [Fact]
    public void The_first_is_let_through_at_once()
    {
        Assert.True(_gate.Ask());

        Assert.Equal(TimeSpan.Zero, _gate.Wait());
        Assert.True(_gate.TryTake());
        Assert.False(_gate.TryTake());
    }

    [Fact]
    public void One_that_comes_too_early_waits_and_is_not_lost()
    {
        _gate.Ask();
        _gate.TryTake();
        _time.Advance(RebirthGate.Pause / 4);

        Assert.True(_gate.Ask());

        Assert.Equal(RebirthGate.Pause * 3 / 4, _gate.Wait());
        Assert.False(_gate.TryTake());
        _time.Advance(RebirthGate.Pause * 3 / 4);
        Assert.True(_gate.TryTake());
    }

    [Fact]
    public void A_flood_gets_a_birth_a_pause_and_the_rest_is_refused()
    {
        int refused = 0;
        int births = 0;
        for (int i = 0; i < 100_000; i++)
        {
            refused += _gate.Ask() ? 0 : 1;
            births += _gate.TryTake() ? 1 : 0;
            _time.Advance(TimeSpan.FromMilliseconds(1));
        }

        Assert.Equal(10, births);
        Assert.Equal(100_000 - 10 - 1, refused); // those let through, and the one that waits
    }

    [Fact]
    public void Births_for_another_reason_answer_the_one_that_waits()
    {
        _gate.Ask();
        _gate.Forget();

        Assert.Null(_gate.Wait());
    }
}
