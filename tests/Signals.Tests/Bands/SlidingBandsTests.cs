using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Tests.Readings;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Bands;

public sealed class SlidingBandsTests
{
    private static readonly FillSettings s_settings = new() { GapAtEmpty = 3600, GapAtFull = 800 };

    [Fact]
    public void Nothing_read_has_no_percentiles()
    {
        BandEstimate band = Bands().OneMinute;

        Assert.Equal(0, band.Count);
        Assert.True(double.IsNaN(band.P01) && double.IsNaN(band.P50) && double.IsNaN(band.P99));
    }

    [Property(MaxTest = 60)]
    public void Streaming_equals_sorting_the_last_minute_with_gaps_bad_values_and_resets(int seed)
    {
        Random random = new(seed);
        SlidingBands bands = Bands();
        PlainBands plain = new(
            new FillScale(s_settings),
            600,
            TimeSpan.TicksPerSecond / 10,
            TimeSpan.TicksPerSecond / 50
        );
        double seconds = random.Next(0, 1_000_000); // a machine that has been on for long
        int readings = random.Next(1, 1500);
        for (int i = 0; i < readings; i++)
        {
            seconds += random.Next(0, 400) switch
            {
                0 => random.Next(2, 3_000), // a stop, or a hole
                1 => 0, // the same time again
                2 => -1,
                _ => random.NextDouble() * 0.5,
            };
            double gap = random.Next(0, 30) switch
            {
                0 => double.NaN,
                1 => double.PositiveInfinity,
                2 => -5,
                3 => 1e9,
                _ => random.Next(0, 4096),
            };
            long ticks = (long)(seconds * TimeSpan.TicksPerSecond);
            bands.Add(ticks, gap);
            plain.Add(ticks, gap);
            if (random.Next(0, 700) == 0)
            {
                bands.Reset();
                plain.Reset();
            }
        }
        Assert.Equal(plain.Estimate(), bands.OneMinute);
    }

    [Property(MaxTest = 20)]
    public void Streaming_equals_sorting_the_last_eight_hours_with_stops_and_bad_values(int seed)
    {
        Random random = new(seed);
        SlidingBands bands = Bands(pollSeconds: 0.5);
        PlainBands plain = new(
            new FillScale(s_settings),
            240,
            2 * TimeSpan.TicksPerMinute,
            TimeSpan.TicksPerSecond / 2
        );
        // From a dancer that hardly moves to one that is anywhere; up to twice what the window holds.
        int swing = random.Next(1, 4096);
        int lowest = random.Next(0, 4097 - swing);
        long ticks = 0;
        for (int left = random.Next(1, 120_000); left > 0; left--)
        {
            ticks += random.Next(0, 2_000) switch
            {
                0 => TimeSpan.TicksPerHour,
                1 => 0,
                _ => random.Next(1, 10_000_000),
            };
            double gap = random.Next(0, 50) == 0 ? double.NaN : lowest + random.Next(0, swing);
            bands.Add(ticks, gap);
            plain.Add(ticks, gap);
        }
        Assert.Equal(plain.Estimate(), bands.EightHours);
    }

    [Fact]
    public void A_NaN_leaves_no_trace()
    {
        SlidingBands with = Bands();
        SlidingBands without = Bands();
        for (int i = 0; i < 100; i++)
        {
            long ticks = i * 20 * TimeSpan.TicksPerMillisecond;
            with.Add(ticks, i % 7 == 0 ? double.NaN : i);
            if (i % 7 != 0)
                without.Add(ticks, i);
        }
        Assert.Equal(without.OneMinute, with.OneMinute);
    }

    [Fact]
    public void Each_window_lets_go_of_a_reading_when_it_is_as_old_as_the_window_is_long()
    {
        SlidingBands bands = Bands(pollSeconds: 0.5);
        for (int i = 0; i < 2 * 8 * 3600 * 2; i++)
            bands.Add(i * TimeSpan.TicksPerSecond / 2, i % 4096);

        Assert.Equal(60 * 2, bands.OneMinute.Count);
        Assert.Equal(15 * 60 * 2, bands.FifteenMinutes.Count);
        Assert.Equal(8 * 3600 * 2, bands.EightHours.Count);
    }

    [Fact]
    public void The_last_minute_can_be_forgotten_and_the_longer_windows_remember_it()
    {
        SlidingBands bands = Bands();
        for (int i = 0; i < 1_000; i++)
            bands.Add(i * 20 * TimeSpan.TicksPerMillisecond, 1000);
        bands.ForgetMinute();
        Assert.Equal(0, bands.OneMinute.Count);
        Assert.Equal((1_000, 1_000), (bands.FifteenMinutes.Count, bands.EightHours.Count));

        double before = bands.FifteenMinutes.P50;
        for (int i = 1_000; i < 1_500; i++)
            bands.Add(i * 20 * TimeSpan.TicksPerMillisecond, 2000);
        Assert.Equal(500, bands.OneMinute.Count);
        Assert.Equal(bands.OneMinute.P01, bands.OneMinute.P99); // nothing of before is left
        Assert.NotEqual(before, bands.OneMinute.P50);
        Assert.Equal((1_500, 1_500), (bands.FifteenMinutes.Count, bands.EightHours.Count));
        Assert.Equal(before, bands.FifteenMinutes.P50);
    }

    [Property(MaxTest = 15)]
    public bool What_was_read_before_a_forgotten_minute_never_leaves_it_again(int seed)
    {
        Random random = new(seed);
        SlidingBands forgetting = Bands();
        SlidingBands whole = Bands();
        long ticks = 0;
        for (int i = 0; i < 12_000; i++)
        {
            ticks += random.Next(1, 400_000);
            double gap = random.Next(0, 4096);
            forgetting.Add(ticks, gap);
            whole.Add(ticks, gap);
            if (random.Next(3_000) == 0)
                forgetting.ForgetMinute();
            BandEstimate minute = forgetting.OneMinute;
            if (
                minute.Count < 0
                || minute.Count > whole.OneMinute.Count
                || !(minute.Count == 0 || minute.P01 <= minute.P99)
            )
                return false;
        }
        // Slices end a little earlier for a forgotten minute, so a few readings more or less stay.
        return Math.Abs(forgetting.FifteenMinutes.Count - whole.FifteenMinutes.Count) <= 50
            && forgetting.EightHours == whole.EightHours;
    }

    [Fact]
    public void Standing_still_for_hours_pushes_nothing_out()
    {
        SlidingBands bands = Bands();
        for (int i = 0; i < 1000; i++)
            bands.Add(i * 20 * TimeSpan.TicksPerMillisecond, 2000);
        bands.Add(10 * TimeSpan.TicksPerHour, 2001);

        Assert.Equal(1001, bands.OneMinute.Count);
    }

    [Fact]
    public void New_set_points_show_where_the_dancer_was_on_the_new_scale()
    {
        FillScale scale = new(s_settings);
        SlidingBands bands = new(s_settings, scale, 0.02);
        for (int i = 0; i < 100; i++)
            bands.Add(i * 20 * TimeSpan.TicksPerMillisecond, 1000 + i);
        double before = bands.OneMinute.P01;

        scale.Next(ReadingMaker.At(9, (Signal.Gap, 1000), (Signal.GapAtEmpty, 0), (Signal.GapAtFull, 4000)));

        // Fill fell as the gap rose, so its least was at the largest gap; now it rises.
        Assert.Equal(100.0 * (1099 - 3600) / (800 - 3600), before, 1e-12);
        Assert.Equal(25, bands.OneMinute.P01, 1e-12);
    }

    [Fact]
    public void Readings_faster_than_the_poll_shorten_the_longest_window_and_spoil_nothing()
    {
        SlidingBands bands = Bands(pollSeconds: 60);
        for (int i = 0; i < 5_000; i++)
            bands.Add(i * 200 * TimeSpan.TicksPerMillisecond, i % 4096);

        // All it can say is of the last ones, and of these it must say it exactly.
        BandEstimate band = bands.EightHours;
        Assert.InRange(band.Count, 240, 4_999);
        double[] last =
        [
            .. Enumerable
                .Range(5_000 - band.Count, band.Count)
                .Select(i => new FillScale(s_settings).PercentAt(i % 4096))
                .Order(),
        ];
        Assert.Equal(last[(band.Count - 1) / 2], band.P50);
        Assert.Equal(last[((band.Count * 99) + 99) / 100 - 1], band.P99);
        Assert.Equal(300, bands.OneMinute.Count);
    }

    [Fact]
    public void A_flood_within_one_slice_is_cut_off_and_never_counts_what_the_ring_has_lost()
    {
        SlidingBands bands = Bands(pollSeconds: 60);
        for (int i = 0; i < 10_000; i++)
            bands.Add(i, 1000);
        for (int i = 1; i <= 700; i++)
            bands.Add(i * TimeSpan.TicksPerSecond / 10, 2000);

        BandEstimate band = bands.OneMinute;
        Assert.Equal(600, band.Count);
        Assert.Equal(band.P01, band.P99); // only the 2000s are left
    }

    [Fact]
    public void Memory_for_a_poll_of_20_ms_and_12_bits_is_below_0_6_MB()
    {
        Assert.InRange(Bands().MemoryBytes, 400_000, 600_000);
    }

    [Fact]
    public void Nothing_is_allocated_per_reading()
    {
        SlidingBands bands = Bands();
        long ticks = 0;
        double sum = 0;
        Feed(2_000);
        long allocated = Allocated.Bytes(_ => Feed(5_000));

        Assert.Equal(0, allocated);
        Assert.True(double.IsFinite(sum));

        void Feed(int readings)
        {
            for (int i = 0; i < readings; i++)
            {
                bands.Add(ticks += 200_000, 1000 + (i % 977));
                sum += bands.OneMinute.P99 + bands.EightHours.P50;
            }
        }
    }

    [Fact]
    public void A_gap_with_more_steps_than_fit_is_refused()
    {
        FillSettings fine = s_settings with { GapResolution = 0.001 };

        ArgumentException refusal = Assert.Throws<ArgumentException>(() =>
            new SlidingBands(fine, new FillScale(fine), 0.02)
        );
        Assert.StartsWith(
            "GapResolution is 0.001. Allowed: at most 65536 steps",
            refusal.Message,
            StringComparison.Ordinal
        );
    }

    [Theory]
    [InlineData(0)]
    [InlineData(-1)]
    [InlineData(double.NaN)]
    public void A_poll_that_is_no_time_is_refused(double pollSeconds)
    {
        Assert.Throws<ArgumentException>(() => Bands(pollSeconds));
    }

    private static SlidingBands Bands(double pollSeconds = 0.02) =>
        new(s_settings, new FillScale(s_settings), pollSeconds);
}
