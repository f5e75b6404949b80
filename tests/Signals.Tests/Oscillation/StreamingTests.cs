using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Tests.Oscillation;

/// <summary>What gaps, bad readings, stops and short histories do. What is right here follows from the contract.</summary>
public sealed class StreamingTests
{
    private static SyntheticFill Tone(double hz, int seed = 21) =>
        new(seed) { NoiseSd = 0.3, Fill = SyntheticFill.Sine(hz, 3) };

    [Fact]
    public void Fewer_than_ten_periods_are_not_enough_and_ten_are()
    {
        SyntheticFill tone = Tone(0.1);
        OscillationDetector detector = new(tone.PollSeconds);
        for (double seconds = 4; seconds <= 96; seconds += 4)
        {
            OscillationEstimate early = tone.Feed(detector, seconds - 4, seconds);
            Assert.False(early.IsOscillating, $"at {seconds} s: {early}");
            if (seconds > 60)
                Assert.Equal(Rhythm.NotEnoughData, early.Rhythm);
        }
        OscillationEstimate later = tone.Feed(detector, 96, 140);
        Assert.True(later.IsOscillating);
        Assert.True(later.Periods >= OscillationDetector.FewestPeriods);
        Assert.Equal(0.1, later.FrequencyHz, 0.001);
    }

    [Fact]
    public void The_lowest_frequency_that_could_show_is_ten_periods_of_what_was_read()
    {
        SyntheticFill quiet = new(seed: 22) { LostShare = 0 };
        OscillationDetector detector = new(quiet.PollSeconds);
        OscillationEstimate first = quiet.Feed(detector, 0, 3);
        Assert.Equal(Rhythm.NotEnoughData, first.Rhythm);
        Assert.True(double.IsNaN(first.LowestHz));
        OscillationEstimate later = quiet.Feed(detector, 3, 200);
        Assert.Equal(Rhythm.None, later.Rhythm);
        Assert.InRange(later.LowestHz, 10 / 200.0, 10 / 160.0);
    }

    [Fact]
    public void Bad_readings_and_readings_out_of_order_change_nothing()
    {
        SyntheticFill tone = Tone(0.7);
        OscillationDetector clean = new(tone.PollSeconds);
        OscillationDetector pestered = new(tone.PollSeconds);
        for (int i = 0; i < 3000; i++)
        {
            double t = 0.02 * i;
            double fill = tone.Fill(t) + 0.3 * tone.Gaussian();
            OscillationEstimate expected = clean.Next(t, fill, 12, double.NaN, double.NaN);
            OscillationEstimate actual = pestered.Next(t, fill, 12, double.NaN, double.NaN);
            pestered.Next(t, fill + 50, 12, 1, 1);
            pestered.Next(t - 1, fill + 50, 12, 1, 1);
            pestered.Next(t + 0.001, double.NaN, 12, 1, 1);
            pestered.Next(t + 0.001, double.PositiveInfinity, 12, 1, 1);
            pestered.Next(double.NaN, fill, 12, 1, 1);
            Assert.Equal(expected, actual);
        }
        Assert.True(clean.Next(60, 50, 12, double.NaN, double.NaN).IsOscillating);
    }

    [Fact]
    public void An_unread_unwind_speed_leaves_frequency_and_amplitude_and_says_no_phase()
    {
        SyntheticFill tone = new(seed: 23) { Fill = SyntheticFill.Sine(0.7, 3), Speed = _ => double.NaN };
        OscillationEstimate last = tone.Feed(new OscillationDetector(tone.PollSeconds, 1), 0, 30);
        Assert.Equal(0.7, last.FrequencyHz, 0.01);
        Assert.True(double.IsNaN(last.UnwindPhaseDegrees));
        Assert.True(double.IsNaN(last.UnwindAmplitudeMetersPerMinute));
        Assert.True(double.IsNaN(last.UnwindShare));
        Assert.Equal(Rhythm.Unknown, last.Rhythm);
    }

    [Fact]
    public void A_tenth_of_the_speeds_unread_still_gives_a_phase()
    {
        int i = 0;
        SyntheticFill tone = new(seed: 24)
        {
            Fill = SyntheticFill.Sine(0.7, 3),
            Speed = t => i++ % 10 == 0 ? double.NaN : 12 + Math.Cos(2 * Math.PI * 0.7 * t),
        };
        OscillationEstimate last = tone.Feed(new OscillationDetector(tone.PollSeconds), 0, 30);
        Assert.InRange(last.UnwindPhaseDegrees, 85, 95);
    }

    [Theory]
    [InlineData(0.3, 0.02)]
    [InlineData(0.3, 0.3)]
    [InlineData(1.7, 0.3)]
    public void Lost_reads_and_jitter_shift_neither_frequency_nor_amplitude(double hz, double lost)
    {
        SyntheticFill tone = new(seed: 25)
        {
            NoiseSd = 0.3,
            LostShare = lost,
            JitterSeconds = 0.008,
            Fill = SyntheticFill.Sine(hz, 3),
        };
        OscillationEstimate last = tone.Feed(new OscillationDetector(tone.PollSeconds), 0, 130);
        Assert.Equal(hz, last.FrequencyHz, 5 * last.FrequencySdHz + 1e-5);
        Assert.Equal(3, last.AmplitudePercent, 0.1);
    }

    [Fact]
    public void A_hole_of_some_seconds_is_bridged_by_the_windows_that_can()
    {
        SyntheticFill tone = Tone(0.3);
        OscillationDetector detector = new(tone.PollSeconds);
        tone.Feed(detector, 0, 70);
        OscillationEstimate last = tone.Feed(detector, 78, 100);
        Assert.True(last.IsOscillating);
        Assert.Equal(0.3, last.FrequencyHz, 0.001);
    }

    [Fact]
    public void A_stop_starts_every_window_anew()
    {
        SyntheticFill tone = Tone(0.3);
        OscillationDetector detector = new(tone.PollSeconds);
        Assert.True(tone.Feed(detector, 0, 100).IsOscillating);
        detector.Pause();
        OscillationEstimate after = tone.Feed(detector, 130, 142);
        Assert.False(after.IsOscillating);
        Assert.InRange(after.LowestHz, 10 / 13.0, 10 / 7.0);
    }

    [Fact]
    public void After_a_reset_nothing_of_before_is_left()
    {
        OscillationDetector used = new(0.02);
        Tone(0.9, seed: 31).Feed(used, 0, 200);
        used.Reset();
        OscillationEstimate again = Tone(0.4, seed: 32).Feed(used, 300, 420);
        OscillationEstimate fresh = Tone(0.4, seed: 32).Feed(new OscillationDetector(0.02), 300, 420);
        Assert.Equal(fresh, again);
    }

    [Fact]
    public void The_same_readings_give_the_same_estimates()
    {
        OscillationEstimate one = Tone(0.4).Feed(new OscillationDetector(0.02), 0, 150);
        OscillationEstimate other = Tone(0.4).Feed(new OscillationDetector(0.02), 0, 150);
        Assert.Equal(one, other);
    }

    [Fact]
    public void Nothing_is_allocated_once_built()
    {
        OscillationDetector detector = new(0.02, storageMeters: 1);
        double[] fill = [.. Enumerable.Range(0, 20_000).Select(i => Tone(0.21).Fill(0.02 * i))];
        for (int i = 0; i < 10_000; i++)
            detector.Next(0.02 * i, fill[i], 12, 1.1, 0.4);
        OscillationEstimate last = default;
        long allocated = Allocated.Bytes(round =>
        {
            for (int i = 10_000 + (2_000 * round); i < 12_000 + (2_000 * round); i++)
                last = detector.Next(0.02 * i, fill[i], 12, 1.1, 0.4);
        });
        Assert.Equal(0, allocated);
        Assert.True(last.IsOscillating);
    }

    [Theory]
    [InlineData(0, 1, 0.2, "pollSeconds")]
    [InlineData(double.NaN, 1, 0.2, "pollSeconds")]
    [InlineData(11, 1, 0.2, "pollSeconds")]
    [InlineData(0.02, 0, 0.2, "storageMeters")]
    [InlineData(0.02, -1, 0.2, "storageMeters")]
    [InlineData(0.02, 1, -0.1, "smallestAmplitudePercent")]
    public void A_setting_out_of_range_is_refused_by_name(
        double poll,
        double storage,
        double smallest,
        string name
    )
    {
        ArgumentOutOfRangeException error = Assert.Throws<ArgumentOutOfRangeException>(() =>
            new OscillationDetector(poll, storage, smallest)
        );
        Assert.Equal(name, error.ParamName);
        Assert.Contains("Allowed", error.Message, StringComparison.Ordinal);
    }
}
