using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Tests.Watching.Payloads;

public sealed class ToldChangeTests
{
    private static readonly MachineEvent s_told = Machines.Event(Machines.LimitApproach with { Step = 12 });

    [Fact]
    public void Every_condition_state_side_and_cause_is_read_back_as_it_was_told()
    {
        int read = 0;
        foreach (Condition condition in Enum.GetValues<Condition>())
        foreach (ConditionState state in Enum.GetValues<ConditionState>())
        foreach (Side side in Enum.GetValues<Side>())
        foreach (Cause cause in Enum.GetValues<Cause>())
        {
            ConditionTransition told = Machines.LimitApproach with
            {
                // A clock of then that is the wall clock, in ticks.
                Ticks = Machines.Milliseconds * TimeSpan.TicksPerMillisecond,
                OnsetTicks = Machines.Milliseconds * TimeSpan.TicksPerMillisecond,
                Step = ++read,
                Condition = condition,
                State = state,
                Side = side,
                Causes = new(new(cause, 0.5), new(Cause.SensorNoise, 0.25), default),
            };
            byte[] payload = EventPayload.Of(Machines.Event(told), sequence: 1);
            Assert.True(
                ToldChange.TryRead(payload, ms => ms * TimeSpan.TicksPerMillisecond, out ToldChange? back)
            );
            Assert.Equal(Machines.Milliseconds, back.OnsetMilliseconds);
            Assert.Equal(told, back.Transition);
        }
        Assert.True(read > 1_000);
    }

    [Fact]
    public void What_is_cut_or_spoiled_is_refused_or_read_and_never_more()
    {
        byte[] whole = EventPayload.Of(s_told, sequence: 1);
        Random random = new(5);
        int refused = 0;
        for (int i = 0; i < 20_000; i++)
        {
            byte[] bytes = whole[..random.Next(whole.Length + 1)];
            if (i % 2 == 0)
                bytes = whole.ToArray();
            for (int spoiled = random.Next(4); spoiled > 0 && bytes.Length > 0; spoiled--)
                bytes[random.Next(bytes.Length)] = (byte)random.Next(32, 127);
            if (!ToldChange.TryRead(bytes, ms => ms, out _))
                refused++;
        }
        Assert.InRange(refused, 10_000, 19_999);
        Assert.False(ToldChange.TryRead("{\"id\":\"a:b:1:2\",\"data\":{}}"u8.ToArray(), ms => ms, out _));
    }
}
