using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.Signals.Tests.Causes;

public sealed class OverrunTrackerTests
{
    private const double PollSeconds = 0.1;
    private readonly OverrunTracker _overrun = new();

    // Runs for 20 s at 50 %, stops, gains film while the roll still turns, stands.
    private void Stop(double gainPercent)
    {
        for (int i = 0; i < 200; i++)
            Add(50, unwind: 15, Regime.Running);
        for (int i = 1; i <= 10; i++)
            Add(50 + (gainPercent * i / 10), unwind: 15 - (1.5 * i), Regime.Stopping);
        for (int i = 0; i < 20; i++)
            Add(50 + gainPercent, unwind: 0, Regime.Stopped);
    }

    private void Add(double fill, double unwind, Regime regime, double cycleMean = 50) =>
        _overrun.Add(
            PollSeconds,
            new FillEstimate(fill, 600, 3500, 50, FillFault.None, SetPointsChanged: false),
            cycleMean,
            unwind,
            regime
        );

    [Fact]
    public void A_stop_is_judged_by_what_fill_gained_until_the_roll_stood()
    {
        Stop(12);

        Assert.Equal(12, _overrun.LastPercent, precision: 6);
        Assert.Equal(62, _overrun.HighestPercent, precision: 6);
    }

    [Fact]
    public void What_is_usual_is_not_known_before_a_few_stops_and_is_the_largest_of_the_first()
    {
        Stop(8);
        Stop(14);
        Assert.True(double.IsNaN(_overrun.UsualPercent));
        Stop(9);
        Stop(9);

        Assert.Equal(14, _overrun.UsualPercent, precision: 6);
    }

    [Fact]
    public void A_hand_that_moves_the_dancer_once_the_roll_stands_is_no_overrun()
    {
        Stop(5);
        for (int i = 0; i < 50; i++)
            Add(95, unwind: 0, Regime.Stopped);

        Assert.Equal(5, _overrun.LastPercent, precision: 6);
    }

    [Fact]
    public void A_brake_that_wears_stands_out_from_what_was_usual()
    {
        for (int i = 0; i < 20; i++)
            Stop(8);
        for (int i = 1; i <= 10; i++)
            Stop(8 + (2 * i));

        Assert.True(_overrun.LastPercent > _overrun.UsualPercent + 10);
    }

    [Fact]
    public void A_run_of_less_than_15_s_may_be_hands_that_turned_the_roll()
    {
        for (int i = 0; i < 140; i++)
            Add(50, unwind: 15, Regime.Running);
        for (int i = 0; i < 20; i++)
            Add(80, unwind: 0, Regime.Stopped);

        Assert.True(double.IsNaN(_overrun.LastPercent));
    }

    [Fact]
    public void An_accumulator_that_stood_below_target_and_is_filled_up_to_it_has_no_overrun()
    {
        for (int i = 0; i < 200; i++)
            Add(30, unwind: 15, Regime.Running, cycleMean: 30);
        for (int i = 0; i < 20; i++)
            Add(50, unwind: 0, Regime.Stopped);

        Assert.Equal(0, _overrun.LastPercent, precision: 6);
    }

    [Fact]
    public void A_stop_that_ended_in_a_trip_is_forgotten_and_teaches_nothing()
    {
        for (int i = 0; i < 4; i++)
            Stop(8);
        double usual = _overrun.UsualPercent;
        Stop(60);
        Add(110, unwind: 0, Regime.Tripped);
        _overrun.ForgetLast();
        Assert.True(double.IsNaN(_overrun.LastPercent) && double.IsNaN(_overrun.HighestPercent));
        Stop(8);
        Stop(8);

        Assert.Equal(usual, _overrun.UsualPercent, precision: 6);
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    public void A_speed_that_is_no_number_leaves_no_trace(double unwind)
    {
        Add(50, unwind, Regime.Running);
        for (int i = 0; i < 160; i++)
            Add(50, unwind: 15, Regime.Running);
        Add(50, unwind, Regime.Running);
        Stop(12);

        // A roll that still turns is waited for, one that stands is not.
        Assert.Equal(12, _overrun.LastPercent, precision: 6);
        for (int i = 0; i < 50; i++)
            Add(95, unwind: 0, Regime.Stopped);
        Assert.Equal(12, _overrun.LastPercent, precision: 6);
    }
}
