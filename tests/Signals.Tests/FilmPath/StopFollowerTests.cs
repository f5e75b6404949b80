using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.FilmPath;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.Signals.Tests.FilmPath;

public sealed class StopFollowerTests
{
    private const double PollSeconds = 0.1;
    private readonly StopFollower _stop = new();
    private int _ended;

    private void Add(double fill, double unwind, double line, Regime regime) =>
        _ended += _stop.Add(
            PollSeconds,
            new FillEstimate(fill, 600, 3500, 50, FillFault.None, SetPointsChanged: false),
            unwind,
            line,
            regime
        )
            ? 1
            : 0;

    /// <summary>Runs at a fill, ramps down together over a second, runs on for a second by a gain, stands.</summary>
    private void Stop(double fill, double gainPercent, double line = 12)
    {
        for (int i = 0; i < 20; i++)
            Add(fill, unwind: 12, line, Regime.Running);
        for (int i = 1; i <= 10; i++)
            Add(fill, unwind: 12, line * (10 - i) / 10, Regime.Stopping);
        for (int i = 1; i <= 10; i++)
            Add(fill + gainPercent * i / 10, unwind: 6, 0 * line, Regime.Stopping);
        for (int i = 0; i < 20; i++)
            Add(fill + gainPercent, unwind: 0, 0 * line, Regime.Stopped);
    }

    [Fact]
    public void An_overrun_is_what_fill_gains_once_the_machine_draws_no_more()
    {
        Stop(55, gainPercent: 20);

        Assert.Equal(1, _ended);
        Assert.Equal(20, _stop.Finding.OverrunPercent, precision: 6);
        Assert.Equal(75, _stop.Finding.HighestPercent, precision: 6);
        Assert.Equal(0, _stop.Finding.SlackMillimeters);
    }

    [Fact]
    public void An_accumulator_that_is_filled_up_to_its_target_has_not_overrun()
    {
        Stop(30, gainPercent: 20);

        Assert.Equal(0, _stop.Finding.OverrunPercent, precision: 6);
    }

    [Fact]
    public void Film_given_past_full_is_slack()
    {
        Stop(91, gainPercent: 18); // the last five of ten readings at 100 % and above, 6 m/min = 100 mm/s

        Assert.Equal(50, _stop.Finding.SlackMillimeters, tolerance: 10.1);
    }

    [Fact]
    public void Without_a_line_speed_nobody_knows_when_the_draw_ended_but_slack_is_seen_all_the_same()
    {
        Stop(91, gainPercent: 18, line: double.NaN);

        Assert.True(double.IsNaN(_stop.Finding.OverrunPercent));
        Assert.Equal(50, _stop.Finding.SlackMillimeters, tolerance: 10.1);
    }

    [Fact]
    public void A_hand_that_moves_the_dancer_once_the_roll_stands_is_no_overrun()
    {
        Stop(50, gainPercent: 3);
        for (int i = 0; i < 50; i++)
            Add(98, unwind: 0, line: 0, Regime.Stopped);

        Assert.Equal(1, _ended);
        Assert.Equal(3, _stop.Finding.OverrunPercent, precision: 6);
    }

    [Fact]
    public void A_trip_in_the_middle_of_a_stop_ends_what_runs_on_but_not_the_look_at_it()
    {
        for (int i = 0; i < 20; i++)
            Add(60, unwind: 12, line: 12, Regime.Running);
        Add(60, unwind: 12, line: 0, Regime.Stopping);
        for (int i = 1; i <= 10; i++)
            Add(60 + 5 * i, unwind: 12, line: 0, i < 9 ? Regime.Stopping : Regime.Tripped);
        for (int i = 0; i < 10; i++)
            Add(110, unwind: 0, line: 0, Regime.Tripped);

        Assert.Equal(1, _ended);
        Assert.Equal(50, _stop.Finding.OverrunPercent, precision: 6);
        Assert.True(_stop.Finding.SlackMillimeters > 0);
    }

    [Fact]
    public void A_machine_that_trips_while_it_runs_has_not_been_stopped()
    {
        Add(60, unwind: 12, line: 12, Regime.Running);
        Add(110, unwind: 12, line: 0, Regime.Tripped);

        Assert.False(_stop.IsFollowing);
        Assert.Equal(0, _ended);
    }
}
