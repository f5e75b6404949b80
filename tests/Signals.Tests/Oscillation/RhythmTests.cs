using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Tests.Oscillation;

/// <summary>What is named on a film path of textbook equations (<see cref="SmallFilmPath"/>).</summary>
public sealed class RhythmTests
{
    private const double PollSeconds = 0.02;

    [Theory]
    [InlineData(1.0, 0.0, true)]
    [InlineData(1.0, 0.01, true)]
    [InlineData(0.55, 0.005, true)]
    [InlineData(1.97, 0.003, true)]
    [InlineData(1.0, 0.01, false)]
    [InlineData(0.55, 0.005, false)]
    public void A_healthy_machine_shows_its_cycle_and_nothing_else(
        double cycleHz,
        double jitter,
        bool cycleIsKnown
    )
    {
        SmallFilmPath path = new(seed: 11) { CycleHz = cycleHz, CycleJitter = jitter };
        OscillationDetector detector = new(PollSeconds, path.StorageMeters);
        double known = cycleIsKnown ? cycleHz : double.NaN;
        OscillationEstimate last = path.Feed(
            detector,
            300,
            known,
            turnHz: double.NaN,
            each => Assert.False(each.IsOscillatingBesideCycle, $"{each}")
        );
        Assert.Equal(Rhythm.MachineCycle, last.Rhythm);
        Assert.Equal(1, last.Multiple);
        Assert.InRange(last.CycleHz, 0.99 * cycleHz, 1.01 * cycleHz);
        // Draw over half a cycle at twice the mean speed: the store swings by half a cycle's film, 0.2 m/s / 2 / f.
        double swing = 100 * 0.2 / 2 / cycleHz;
        Assert.InRange(last.CycleSwingPercent, 0.85 * swing, 1.1 * swing);
    }

    /// <summary>Gain limit by the textbook: w 0.3 s + atan(w 0.6 s) = 90 degrees at w = 2.14/s, gain w sqrt(1 + (0.6 w)^2) = 3.5/s.</summary>
    [Theory]
    [InlineData(true, true)]
    [InlineData(true, false)]
    [InlineData(false, true)]
    [InlineData(false, false)]
    public void A_loop_past_its_gain_limit_is_named_beside_a_healthy_cycle(
        bool cycleIsKnown,
        bool storageIsKnown
    )
    {
        SmallFilmPath path = new(seed: 12)
        {
            LagSeconds = 0.6,
            DelaySeconds = 0.3,
            Gain = t => t < 100 ? 0.8 : 3.9,
        };
        OscillationDetector detector = new(PollSeconds, storageIsKnown ? path.StorageMeters : double.NaN);
        double known = cycleIsKnown ? path.CycleHz : double.NaN;
        OscillationEstimate healthy = path.Feed(detector, 100, known, double.NaN);
        OscillationEstimate hunting = path.Feed(detector, 240, known, double.NaN);
        Assert.Equal(Rhythm.MachineCycle, healthy.Rhythm);
        Assert.Equal(Rhythm.ControlLoop, hunting.Rhythm);
        Assert.InRange(hunting.FrequencyHz, 0.9 * 2.14 / (2 * Math.PI), 1.1 * 2.14 / (2 * Math.PI));
        Assert.InRange(hunting.UnwindPhaseDegrees, 80, 100);
        Assert.True(hunting.GrowthPerSecond > 0 || double.IsNaN(hunting.GrowthPerSecond));
        Assert.InRange(
            hunting.CycleSwingPercent,
            0.85 * healthy.CycleSwingPercent,
            1.15 * healthy.CycleSwingPercent
        );
        if (storageIsKnown)
            Assert.InRange(hunting.UnwindShare, 0.85, 1.15);
        else
            Assert.True(double.IsNaN(hunting.UnwindShare));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void A_roll_out_of_round_is_named_by_its_turns(bool speedTagSeesTheRoll)
    {
        SmallFilmPath path = new(seed: 13)
        {
            OutOfRound = _ => 0.1,
            SpeedTagSeesTheRoll = speedTagSeesTheRoll,
        };
        OscillationDetector detector = new(PollSeconds, path.StorageMeters);
        OscillationEstimate last = path.Feed(detector, 120, path.CycleHz, turnHz: 1.01 * path.TurnHz);
        Assert.Equal((Rhythm.RollTurn, 1), (last.Rhythm, last.Multiple));
        Assert.Equal(path.TurnHz, last.FrequencyHz, 5 * last.FrequencySdHz + 1e-4);
    }

    [Fact]
    public void The_same_roll_whose_turns_are_not_known_is_unknown_when_film_balance_clears_the_unwind()
    {
        SmallFilmPath path = new(seed: 13) { OutOfRound = _ => 0.1 };
        OscillationDetector detector = new(PollSeconds, path.StorageMeters);
        OscillationEstimate last = path.Feed(detector, 120, path.CycleHz, turnHz: double.NaN);
        Assert.Equal(Rhythm.Unknown, last.Rhythm);
        Assert.InRange(last.UnwindShare, 0, 0.5);
    }

    [Fact]
    public void A_cycle_swing_that_grows_is_told_as_such_and_as_nothing_else()
    {
        SmallFilmPath path = new(seed: 14) { DrawShare = t => 0.7 - t / 600 };
        OscillationDetector detector = new(PollSeconds, path.StorageMeters);
        OscillationEstimate before = path.Feed(detector, 40, path.CycleHz, double.NaN);
        OscillationEstimate after = path.Feed(
            detector,
            300,
            path.CycleHz,
            double.NaN,
            each => Assert.False(each.IsOscillatingBesideCycle, $"{each}")
        );
        Assert.True(after.CycleSwingPercent > 1.8 * before.CycleSwingPercent, $"{before} {after}");
        // The swing is the film drawn in (1 - share): ln(0.8 / 0.37) over 260 s, within the last minutes steeper or flatter.
        Assert.InRange(after.CycleSwingGrowthPerSecond, 0.5 * 0.003, 1.5 * 0.003);
    }

    [Fact]
    public void The_old_rate_of_a_cycle_that_has_just_become_slower_is_still_the_cycle_and_no_turn_of_the_roll()
    {
        // Three turns of the roll a cycle, at the old rate: 0.45 Hz. At the new rate, 0.4 Hz, nothing turns.
        OscillationDetector detector = new(PollSeconds);
        SyntheticFill Cycle(double hz) =>
            new(seed: 17)
            {
                Fill = SyntheticFill.Sine(hz, 10),
                CycleHz = hz,
                TurnHz = 0.15,
            };
        Cycle(0.45).Feed(detector, 0, 200);
        SyntheticFill slower = Cycle(0.4);
        for (int t = 200; t < 400; t++)
            Assert.False(slower.Feed(detector, t, t + 1).IsOscillatingBesideCycle);
    }

    [Theory]
    [InlineData(0.004)]
    [InlineData(-0.004)]
    [InlineData(0.0)]
    public void Growth_is_the_rate_of_log_amplitude(double rate)
    {
        SyntheticFill source = new(seed: 15)
        {
            NoiseSd = 0.1,
            Fill = t => 50 + 3 * Math.Exp(rate * t) * Math.Sin(2 * Math.PI * 0.3 * t),
        };
        OscillationEstimate last = source.Feed(new OscillationDetector(source.PollSeconds), 0, 300);
        Assert.Equal(rate, last.GrowthPerSecond, 0.0005);
    }

    [Theory]
    [InlineData(90, Rhythm.ControlLoop)]
    [InlineData(180, Rhythm.Unknown)]
    [InlineData(0, Rhythm.Unknown)]
    [InlineData(-90, Rhythm.Unknown)]
    public void Without_known_turns_the_phase_of_unwind_to_fill_decides(double leadDegrees, Rhythm rhythm)
    {
        double lead = leadDegrees * Math.PI / 180;
        SyntheticFill source = new(seed: 16)
        {
            NoiseSd = 0.2,
            Fill = SyntheticFill.Sine(0.23, 4),
            Speed = t => 12 + 3 * Math.Sin(2 * Math.PI * 0.23 * t + lead),
        };
        OscillationEstimate last = source.Feed(new OscillationDetector(source.PollSeconds), 0, 70);
        Assert.Equal(rhythm, last.Rhythm);
        double difference = Math.IEEERemainder(last.UnwindPhaseDegrees - leadDegrees, 360);
        Assert.InRange(difference, -2, 2);
        Assert.Equal(3, last.UnwindAmplitudeMetersPerMinute, 0.05);
        Assert.Equal(4, last.AmplitudePercent, 0.1);
    }
}
