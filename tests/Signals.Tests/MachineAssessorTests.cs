using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Warnings;
using FsCheck;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests;

public sealed class MachineAssessorTests
{
    private readonly MachineAssessor _assessor = new(TestFilm.Settings);
    private readonly TestFilm _film = new();
    private readonly List<ConditionTransition> _transitions = [];

    [Fact]
    public void A_steady_machine_raises_nothing()
    {
        Run(300, _ => _film.Next(50));
        Assert.Empty(_transitions);
    }

    [Fact]
    public void A_fill_that_falls_to_the_empty_side_is_told_with_its_side_and_seconds()
    {
        Run(60, _ => _film.Next(50));
        Run(4.5, t => _film.Next(50 - 10 * t, unwind: 3));
        ConditionTransition first = _transitions[0];
        Assert.Equal(Condition.LimitApproach, first.Condition);
        Assert.Equal(Side.Empty, first.Side);
        Assert.Equal(Priority.High, first.Priority);
        // At 10 %/s the trip at -5 % plus its hold of 0.5 s is due 6 s after the fall began.
        double dueSeconds = 60 + 5.5 + 0.5;
        Assert.InRange(Seconds(first.Ticks) + first.SecondsToLimit, dueSeconds - 1, dueSeconds + 1);
        Assert.Contains("empty", first.Evidence, StringComparison.Ordinal);
    }

    [Fact]
    public void A_fill_that_creeps_towards_full_is_likely_to_trip_minutes_before_it_does()
    {
        Run(60, _ => _film.Next(50));
        Run(300, t => _film.Next(50 + t * 50 / 300));
        ConditionTransition likely = _transitions.First(t => t.Condition == Condition.TripLikely);
        Assert.Equal(Side.Full, likely.Side);
        Assert.InRange(Seconds(likely.Ticks), 60, 300);
        Assert.InRange(likely.Probability, 0.5, 1);
    }

    [Fact]
    public void Lost_readings_are_told_after_three_seconds_and_told_again_when_they_are_back()
    {
        Run(20, _ => _film.Next(50));
        Run(10, _ => _film.NextFailed());
        ConditionTransition raised = Assert.Single(_transitions);
        Assert.Equal((Condition.DataLost, ConditionState.Raised), (raised.Condition, raised.State));
        Assert.InRange(Seconds(raised.Ticks), 22.9, 23.2);
        Assert.NotNull(_assessor.Open(Condition.DataLost));

        Run(10, _ => _film.Next(50));
        Assert.Equal(ConditionState.Cleared, _transitions[^1].State);
        Assert.InRange(Seconds(_transitions[^1].Ticks), 31.9, 32.3);
        Assert.Null(_assessor.Open(Condition.DataLost));
    }

    [Fact]
    public void Lost_readings_are_told_while_the_machine_stands_too()
    {
        Run(20, _ => _film.Next(50, unwind: 0, running: 0));
        Run(5, _ => _film.NextFailed());
        Assert.Equal(Condition.DataLost, Assert.Single(_transitions).Condition);
    }

    [Fact]
    public void A_standing_machine_whose_dancer_is_moved_by_hand_raises_nothing()
    {
        Run(60, _ => _film.Next(50));
        Run(2, _ => _film.Next(50, unwind: 0, running: 0));
        Run(60, t => _film.Next(50 + 60 * Math.Sin(t), unwind: 0, running: 0));
        Run(60, _ => _film.Next(50));
        Assert.Empty(_transitions);
    }

    [Fact]
    public void A_reading_whose_time_does_not_move_forward_is_ignored_and_counted()
    {
        Reading reading = _film.Next(50);
        _assessor.Process(reading);
        double before = _assessor.Process(_film.Next(50)).Fill.Percent;
        Assert.Equal(before, _assessor.Process(reading).Fill.Percent);
        Assert.Equal(1, _assessor.IgnoredReadings);
    }

    [Fact]
    public void A_clock_that_jumps_an_hour_ahead_costs_nothing_but_the_missing_data()
    {
        Run(60, _ => _film.Next(50));
        _film.Skip(3_600);
        Run(60, _ => _film.Next(50));
        Assert.Equal([Condition.DataLost, Condition.DataLost], _transitions.Select(t => t.Condition));
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(double.NegativeInfinity)]
    [InlineData(1e300)]
    [InlineData(0)]
    public void No_value_of_any_signal_breaks_it_or_leaves_a_trace_that_stays(double value)
    {
        Run(30, _ => _film.Next(50));
        foreach (Signal signal in Enum.GetValues<Signal>())
        {
            SignalValues values = _film.Next(50).Values;
            values[signal] = value;
            _film.Skip(TestFilm.PollSeconds);
            _assessor.Process(_film.Next(50) with { Values = values });
        }
        Run(200, _ => _film.Next(50));
        Assessment last = _assessor.Process(_film.Next(50));
        Assert.InRange(last.Fill.Percent, 46, 54);
        Assert.InRange(last.Margin.Full.Percent, 50, 54);
        Assert.InRange(last.Forecast.ProbabilityIn15Minutes, 0, 0.01);
        Assert.All(Enum.GetValues<Condition>(), c => Assert.Null(_assessor.Open(c)));
    }

    [Property(MaxTest = 5)]
    public bool No_walk_of_the_fill_raises_or_clears_a_condition_faster_than_its_delays(int seed)
    {
        var assessor = new MachineAssessor(TestFilm.Settings);
        var film = new TestFilm();
        var random = new Random(seed);
        var last = new Dictionary<Condition, long>();
        double fill = 50;
        for (int i = 0; i < 30_000; i++)
        {
            fill = 50 + 0.999 * (fill - 50) + 2 * (random.NextDouble() - 0.5);
            foreach (
                ConditionTransition t in assessor
                    .Process(film.Next(fill, 12 + random.NextDouble()))
                    .Transitions
            )
            {
                if (t.State == ConditionState.Changed)
                    continue;
                ConditionSettings settings = TestFilm.Settings.Warnings[t.Condition];
                double least =
                    t.State == ConditionState.Raised ? settings.OnDelaySeconds : settings.OffDelaySeconds;
                if (last.TryGetValue(t.Condition, out long before) && Seconds(t.Ticks - before) + 1 < least)
                    return false;
                last[t.Condition] = t.Ticks;
            }
        }
        return true;
    }

    [Fact]
    public void The_same_readings_give_the_same_transitions()
    {
        Assert.Equal(Falls(), Falls());

        static List<ConditionTransition> Falls()
        {
            var assessor = new MachineAssessor(TestFilm.Settings);
            var film = new TestFilm();
            List<ConditionTransition> transitions = [];
            for (int i = 0; i < 10_000; i++)
                transitions.AddRange(
                    assessor.Process(film.Next(50 - Math.Max(0, film.Seconds - 100) * 0.5)).Transitions
                );
            Assert.NotEmpty(transitions);
            return transitions;
        }
    }

    [Theory]
    [InlineData(0.35)]
    [InlineData(1)]
    [InlineData(3)]
    public void What_other_settings_would_have_told_is_what_a_machine_of_their_own_tells(double sensitivity)
    {
        WarningSettings other = new() { Sensitivity = sensitivity, LeastPriority = Priority.Medium };
        var both = new MachineAssessor(TestFilm.Settings, [new WarningSettings { Sensitivity = 0.5 }, other]);
        var own = new MachineAssessor(TestFilm.Settings with { Warnings = other });
        var plain = new MachineAssessor(TestFilm.Settings);
        (int told, int toldPlain) = (0, 0);
        for (int i = 0; i < 20_000; i++)
        {
            double t = _film.Seconds;
            double unwind = 12 + (3 * Math.Sin(0.5 * t)) - (t > 200 ? 4 : 0);
            Reading reading =
                i % 4_000 > 3_800
                    ? _film.NextFailed()
                    : _film.Next(50 - (0.2 * t) + (6 * Math.Sin(0.5 * t)), unwind);
            Assessment first = both.Process(reading);

            Assert.Equal(plain.Process(reading).Transitions, first.Transitions);
            Assert.Equal(own.Process(reading).Transitions, both.TransitionsOf(1));
            told += both.TransitionsOf(1).Count;
            toldPlain += first.Transitions.Count;
        }

        Assert.InRange(told, 3, 300);
        Assert.InRange(toldPlain, 3, 300);
    }

    [Fact]
    public void Confidences_never_sum_to_more_than_one()
    {
        Run(
            120,
            t =>
            {
                CauseRanking causes = _assessor
                    .Process(_film.Next(50 + 0.3 * t, unwind: 12 - 0.02 * t))
                    .Causes;
                Assert.InRange(
                    causes.First.Confidence + causes.Second.Confidence + causes.Third.Confidence,
                    0,
                    1 + 1e-9
                );
                Assert.True(causes.First.Confidence >= causes.Second.Confidence);
                Assert.True(causes.Second.Confidence >= causes.Third.Confidence);
                return _film.Next(50 + 0.3 * t);
            }
        );
    }

    [Fact]
    public void A_reading_allocates_nothing()
    {
        Run(400, t => _film.Next(50 + 5 * Math.Sin(t)));
        Reading[] readings = [.. Enumerable.Range(0, 10_000).Select(_ => _film.Next(50))];
        long allocated = Allocated.Bytes(round =>
        {
            foreach (ref readonly Reading reading in readings.AsSpan(2_000 * round, 2_000))
                _assessor.Process(reading);
        });
        Assert.Equal(0, allocated);
    }

    private void Run(double seconds, Func<double, Reading> next)
    {
        double start = _film.Seconds;
        while (_film.Seconds < start + seconds)
            _transitions.AddRange(_assessor.Process(next(_film.Seconds - start)).Transitions);
    }

    private static double Seconds(long ticks) => (double)ticks / TimeSpan.TicksPerSecond - 1;
}
