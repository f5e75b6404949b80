using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Roll;
using Dancerwatch.Signals.Tests.Readings;

namespace Dancerwatch.Signals.Tests.Roll;

public sealed class RollTrackerTests
{
    private static readonly RollSettings s_settings = new()
    {
        FullDiameterMillimeters = 300,
        FilmThicknessMicrometers = 50,
    };

    private static readonly RegimeEstimate s_running = new(Regime.Running, 10, false, Side.None, false);
    private static readonly RegimeEstimate s_newRoll = s_running with { RollChanged = true };

    private double _seconds;

    [Fact]
    public void A_roll_that_nobody_told_of_is_unknown()
    {
        RollEstimate roll = Run(new RollTracker(s_settings), 10, speed: 12);

        Assert.Equal((RollSource.None, 0), (roll.Source, roll.Trust));
        Assert.True(double.IsNaN(roll.DiameterMillimeters) && double.IsNaN(roll.MinutesLeft));
        Assert.Equal(2, roll.FilmUsedMeters, 1e-9); // 0.2 m/s for 10 s
    }

    [Fact]
    public void A_tag_gives_diameter_film_and_minutes_left()
    {
        RollEstimate roll = Run(new RollTracker(s_settings), 10, speed: 12, tag: 300);

        Assert.Equal((RollSource.Tag, 1), (roll.Source, roll.Trust));
        Assert.Equal(1322.99, roll.FilmLeftMeters, 0.005); // numpy, see FilmGeometryTests
        Assert.Equal(1322.99 / 12, roll.MinutesLeft, 1e-3);
        Assert.Equal(0.2122, roll.TurnHz, 5e-5);
    }

    [Fact]
    public void Turns_seen_in_the_fill_give_the_diameter()
    {
        RollEstimate roll = Run(new RollTracker(s_settings), 10, speed: 12, turnHz: 0.3183098862);

        Assert.Equal(RollSource.Turns, roll.Source);
        Assert.Equal(200, roll.DiameterMillimeters, 1e-6); // 0.2 / (pi 0.3183...)
    }

    [Theory]
    [InlineData(0.1)] // 637 mm: more than a fresh roll
    [InlineData(2)] // 32 mm: less than the core
    public void Turns_that_no_roll_of_this_machine_makes_are_not_believed(double turnHz)
    {
        Assert.Equal(RollSource.None, Run(new RollTracker(s_settings), 10, speed: 12, turnHz: turnHz).Source);
    }

    [Fact]
    public void A_new_roll_is_taken_to_be_full_and_shrinks_as_its_film_is_used()
    {
        RollTracker tracker = new(s_settings);
        Run(tracker, 5, speed: 12);
        Run(tracker, 0.02, speed: 12, s_newRoll);
        RollEstimate roll = Run(tracker, 3_600, speed: 12, stepSeconds: 0.5);

        Assert.Equal(RollSource.FilmUsed, roll.Source);
        Assert.Equal(0.8, roll.Trust);
        Assert.Equal(720, roll.FilmUsedMeters, 0.2);
        Assert.Equal(1322.99 - 720, roll.FilmLeftMeters, 0.2);
        double area = 300 * 300 - (4 * 0.05 * 720_000 / Math.PI);
        Assert.Equal(Math.Sqrt(area), roll.DiameterMillimeters, 0.02);
    }

    [Fact]
    public void A_tag_that_is_lost_is_followed_by_film_used_from_what_it_said_last()
    {
        RollTracker tracker = new(s_settings);
        Run(tracker, 10, speed: 12, tag: 200);
        RollEstimate roll = Run(tracker, 600, speed: 12, stepSeconds: 0.1);

        Assert.Equal(RollSource.FilmUsed, roll.Source);
        Assert.Equal(Math.Sqrt((200 * 200) - (4 * 0.05 * 120_000 / Math.PI)), roll.DiameterMillimeters, 1e-2);
    }

    [Fact]
    public void More_film_used_than_the_roll_held_means_a_missed_change_and_nothing_is_claimed()
    {
        RollTracker tracker = new(s_settings);
        Run(tracker, 1, speed: 12, s_newRoll);
        RollEstimate roll = Run(tracker, 8_000, speed: 12, stepSeconds: 1);

        Assert.Equal(RollSource.None, roll.Source);
        Assert.True(double.IsNaN(roll.MinutesLeft));
    }

    [Theory]
    [InlineData(3_600, 0.8)] // half the roll is left: someone moved the dancer
    [InlineData(6_000, 0.3)] // the old roll was nearly used: presumed new, and little trusted
    public void Threading_is_a_new_roll_only_where_the_old_one_was_nearly_used(
        double ranSeconds,
        double trust
    )
    {
        RollTracker tracker = new(s_settings);
        Run(tracker, 1, speed: 12, s_newRoll);
        Run(tracker, ranSeconds, speed: 12, stepSeconds: 0.5);
        Run(tracker, 30, speed: 0, new RegimeEstimate(Regime.RollChange, 1, true, Side.None, false));
        RollEstimate roll = Run(
            tracker,
            0.02,
            speed: 12,
            new RegimeEstimate(Regime.Starting, 0, true, Side.None, false)
        );

        Assert.Equal(trust, roll.Trust);
        Assert.Equal(trust == 0.3, roll.DiameterMillimeters > 299.9);
    }

    [Fact]
    public void Without_thickness_a_tag_still_gives_diameter_and_turns_but_no_film_left()
    {
        RollEstimate roll = Run(new RollTracker(new RollSettings()), 10, speed: 12, tag: 300);

        Assert.Equal(300, roll.DiameterMillimeters);
        Assert.Equal(0.2122, roll.TurnHz, 5e-5);
        Assert.True(double.IsNaN(roll.FilmLeftMeters));
    }

    [Fact]
    public void Minutes_left_are_told_by_the_last_running_speed_while_the_machine_stands()
    {
        RollTracker tracker = new(s_settings);
        Run(tracker, 10, speed: 12, tag: 300);
        RollEstimate roll = Run(
            tracker,
            60,
            speed: 0,
            new RegimeEstimate(Regime.Stopped, 1, false, Side.None, false),
            tag: 300
        );

        Assert.Equal(1322.99 / 12, roll.MinutesLeft, 1e-3);
    }

    [Fact]
    public void A_hole_in_the_readings_counts_no_film()
    {
        RollTracker tracker = new(s_settings);
        Run(tracker, 10, speed: 12);
        _seconds += 3_600;

        Assert.Equal(4, Run(tracker, 10, speed: 12).FilmUsedMeters, 0.01);
    }

    [Theory]
    [InlineData(0, 300, 50, "CoreDiameterMillimeters is 0")]
    [InlineData(76, 70, 50, "FullDiameterMillimeters is 70")]
    [InlineData(76, 300, -1, "FilmThicknessMicrometers is -1")]
    public void Settings_that_cannot_be_used_are_refused_by_name(
        double core,
        double full,
        double thickness,
        string what
    )
    {
        RollSettings settings = new()
        {
            CoreDiameterMillimeters = core,
            FullDiameterMillimeters = full,
            FilmThicknessMicrometers = thickness,
        };

        ArgumentException refusal = Assert.Throws<ArgumentException>(() => new RollTracker(settings));
        Assert.StartsWith(what, refusal.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Nothing_is_allocated_per_reading()
    {
        RollTracker tracker = new(s_settings);
        Run(tracker, 10, speed: 12, tag: 250);
        RollEstimate roll = default;
        long allocated = Allocated.Bytes(_ => roll = Run(tracker, 20, speed: 12));

        Assert.Equal(0, allocated);
        Assert.Equal(RollSource.FilmUsed, roll.Source);
    }

    private RollEstimate Run(
        RollTracker tracker,
        double seconds,
        double speed,
        RegimeEstimate? regime = null,
        double tag = double.NaN,
        double turnHz = double.NaN,
        double stepSeconds = 0.02
    )
    {
        RollEstimate last = default;
        long steps = (long)Math.Round(seconds / stepSeconds);
        for (long i = 0; i <= steps; i++)
        {
            Reading reading = ReadingMaker.At(
                _seconds + (i * stepSeconds),
                (Signal.UnwindSpeed, speed),
                (Signal.RollDiameter, tag)
            );
            last = tracker.Next(reading, regime ?? s_running, turnHz);
        }
        _seconds += steps * stepSeconds;
        return last;
    }
}
