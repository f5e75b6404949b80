using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.Signals.Tests.Causes;

/// <summary>A machine at 12 m/min, that is 0.2 m/s.</summary>
public sealed class SignTrackerTests
{
    private readonly SignTracker _tracker = new(TestFilm.Settings);
    private readonly FilmFlow _flow = new(1500, TestFilm.PollSeconds);
    private readonly TestFilm _film = new();

    [Theory]
    [InlineData(Rhythm.ControlLoop, 0.25, true)] // a roll of 255 mm
    [InlineData(Rhythm.ControlLoop, 0.83, true)] // of 77 mm, hardly more than its core
    [InlineData(Rhythm.ControlLoop, 0.85, false)] // smaller than a core
    [InlineData(Rhythm.ControlLoop, 0.1, false)] // of 637 mm: a loop with seconds of lag in it
    [InlineData(Rhythm.Unknown, 0.25, false)] // not fed by the unwind
    public void A_loops_rate_that_some_roll_turns_at_may_be_the_rolls(Rhythm rhythm, double hertz, bool mayBe)
    {
        Block(fill: 50, command: 12);
        Read(HealthySigns.Swinging(rhythm, hertz), turnHz: double.NaN);

        Assert.Equal(mayBe, _tracker.Signs.MayBeTurn);
    }

    [Fact]
    public void Where_the_roll_is_known_nothing_is_guessed()
    {
        Block(fill: 50, command: 12);
        Read(HealthySigns.Swinging(Rhythm.ControlLoop, 0.25), turnHz: 0.4);

        Assert.False(_tracker.Signs.MayBeTurn);
    }

    [Fact]
    public void A_trip_is_remembered_with_its_cause_and_the_running_time_since_and_ends_what_led_to_it()
    {
        Ask(20, 40, command: 10);
        Assert.InRange(_tracker.Signs.ShortShare, 0.7, 0.8);
        _tracker.Trip(Cause.BrakeDrag);
        for (int i = 0; i < 500; i++)
            Read(OscillationEstimate.Nothing(Rhythm.None), double.NaN);
        for (int i = 0; i < 500; i++)
            Read(OscillationEstimate.Nothing(Rhythm.None), double.NaN, Regime.Stopped);

        Assert.Equal(Cause.BrakeDrag, _tracker.Signs.TrippedBy);
        Assert.Equal(10, _tracker.Signs.SinceTripSeconds, 1e-6);
        Assert.Equal(0, _tracker.Signs.ShortShare);
        Assert.True(double.IsNaN(_tracker.Signs.OffTargetPercent));
    }

    [Fact]
    public void A_machine_that_never_tripped_remembers_nothing()
    {
        Read(OscillationEstimate.Nothing(Rhythm.None), double.NaN);

        Assert.Equal(Cause.Unknown, _tracker.Signs.TrippedBy);
        Assert.Equal(double.PositiveInfinity, _tracker.Signs.SinceTripSeconds);
    }

    [Theory]
    [InlineData(0, 0.75)] // of the last 20 blocks
    [InlineData(-0.3, 0.75)]
    [InlineData(0.3, 0.2)] // seen to come back only after five blocks
    public void An_unwind_that_falls_short_strains_unless_fill_comes_back(double risePerBlock, double share)
    {
        for (int i = 0; i < 40; i++)
            Block(fill: 40, command: 12);
        for (int i = 0; i < 15; i++)
            Block(40 + (i * risePerBlock), command: 15);
        Read(OscillationEstimate.Nothing(Rhythm.None), double.NaN);

        Assert.Equal(share, _tracker.Signs.StrainShare, 1e-9);
    }

    [Fact]
    public void What_strained_the_drive_before_a_stop_is_over_at_the_next_start()
    {
        for (int i = 0; i < 40; i++)
            Block(fill: 40, command: 12);
        for (int i = 0; i < 15; i++)
            Block(fill: 40, command: 15);
        Read(OscillationEstimate.Nothing(Rhythm.None), double.NaN, Regime.Stopped);
        Assert.Equal(0.75, _tracker.Signs.StrainShare, 1e-9);

        Read(OscillationEstimate.Nothing(Rhythm.None), double.NaN, Regime.Starting, isChanged: true);

        Assert.Equal(0, _tracker.Signs.StrainShare);
    }

    private void Block(double fill, double command, double line = 12) =>
        _tracker.Add(
            default(FilmBlock) with
            {
                DurationSeconds = 1,
                MeanFill = fill,
                LowestFill = fill - 3,
                HighestFill = fill + 3,
                MeanUnwind = 12,
                LowestUnwind = 11,
                HighestUnwind = 13,
                MeanCommand = command,
                CommandRange = 2,
                MeanLine = line,
                Readings = 50,
            },
            targetPercent: 50,
            balancePercentPerMeterPerMinute: 1.1
        );

    private void Ask(double seconds, double fillPercent, double command, double line = 12)
    {
        for (double t = 0; t < seconds; t += TestFilm.PollSeconds)
        {
            Reading reading = _film.Next(50);
            SignalValues values = reading.Values;
            values[Signal.UnwindCommand] = command;
            values[Signal.LineSpeed] = line;
            Read(
                OscillationEstimate.Nothing(Rhythm.None),
                double.NaN,
                fillPercent: fillPercent,
                reading: reading with
                {
                    Values = values,
                }
            );
        }
    }

    private void Read(
        in OscillationEstimate oscillation,
        double turnHz,
        Regime regime = Regime.Running,
        double fillPercent = 50,
        Reading? reading = null,
        bool isChanged = false
    )
    {
        var fill = new FillEstimate(fillPercent, 600, 3500, 50, FillFault.None, SetPointsChanged: false);
        _tracker.Add(
            TestFilm.PollSeconds,
            fill,
            new RegimeEstimate(regime, isChanged ? 0 : 60, isChanged, Side.None, ProductChanged: false),
            _flow,
            reading ?? _film.Next(50),
            oscillation,
            turnHz
        );
        _tracker.Gather(fill, oscillation, default, _flow);
    }
}
