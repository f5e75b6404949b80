using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Tests.Watching;

public sealed class MachineWatchTests : IEventSink
{
    private readonly List<MachineEvent> _raised = [];
    private readonly MachineWatch _watch;
    private TimeSpan _wallClockStep;
    private long _ticks;

    public MachineWatchTests() =>
        _watch = new MachineWatch(
            Machines.Tea1,
            Machines.Settings,
            ticks =>
                DateTimeOffset.FromUnixTimeMilliseconds(Machines.Milliseconds)
                + TimeSpan.FromTicks(ticks)
                + _wallClockStep,
            this
        );

    void IEventSink.Raise(MachineEvent raised) => _raised.Add(raised);

    private void Read(double seconds, bool good)
    {
        SignalValues values = SignalValues.Unknown;
        values[Signal.Gap] = 2_050;
        values[Signal.UnwindSpeed] = 18;
        for (long end = _ticks + TimeSpan.FromSeconds(seconds).Ticks; _ticks < end; )
        {
            _ticks += TimeSpan.FromMilliseconds(20).Ticks;
            _watch.Process(good ? new Reading(_ticks, values, Quality.Good) : Reading.Failed(_ticks));
        }
    }

    [Fact]
    public void Before_the_first_reading_there_is_no_state() => Assert.Null(_watch.State());

    [Fact]
    public void Lost_data_is_one_occurrence_from_raised_to_cleared_though_the_clock_be_set_meanwhile()
    {
        Read(5, good: true);
        Read(10, good: false);
        _wallClockStep = TimeSpan.FromHours(-1);
        Read(10, good: true);

        MachineEvent[] lost = [.. _raised.Where(e => e.Transition.Condition == Condition.DataLost)];
        Assert.Equal([ConditionState.Raised, ConditionState.Cleared], lost.Select(e => e.Transition.State));
        Assert.Equal(lost[0].OnsetMilliseconds, lost[1].OnsetMilliseconds);
        Assert.Equal(lost.Length, lost.Select(e => e.Id).Distinct().Count());
        // The stamp is the wall clock's; the identity is not.
        Assert.True(lost[1].Milliseconds < lost[0].Milliseconds);
    }

    [Fact]
    public void The_state_names_what_is_raised_since_when_and_the_last_reading()
    {
        Read(5, good: true);
        Read(10, good: false);

        MachineState state = _watch.State()!;

        OpenCondition open = Assert.Single(state.Open);
        Assert.Equal(Condition.DataLost, open.Latest.Condition);
        Assert.Equal(_raised.Single().OnsetMilliseconds, open.SinceMilliseconds);
        Assert.Equal(Quality.Bad, state.Quality);
        Assert.Equal(Machines.Milliseconds + 15_000, state.Milliseconds);
    }

    [Fact]
    public void A_reading_that_does_not_move_time_forward_raises_nothing_again()
    {
        Read(5, good: true);
        while (_raised.Count == 0)
            Read(0.02, good: false);
        int raised = _raised.Count;

        _watch.Process(Reading.Failed(_ticks));

        Assert.Equal(raised, _raised.Count);
    }

    [Fact]
    public void A_reading_that_changes_nothing_allocates_nothing()
    {
        Read(30, good: true);
        long allocated = Allocated.Bytes(_ => Read(20, good: true));

        Assert.Equal(0, allocated);
    }
}
