using Dancerwatch.Signals.Causes;

namespace Dancerwatch.Signals.Tests.Causes;

public sealed class CatchCounterTests
{
    private const double PollSeconds = 0.02;
    private readonly CatchCounter _catches = new();

    private void Run(double seconds, double unwind, double command)
    {
        for (int i = 0; i < seconds / PollSeconds; i++)
            _catches.Add(PollSeconds, unwind, command);
    }

    [Fact]
    public void Film_that_is_held_and_let_go_is_counted_each_time()
    {
        Run(10, 15, 15);
        for (int i = 0; i < 3; i++)
        {
            Run(0.5, 2, 17);
            Run(2, 16, 16);
        }

        Assert.InRange(_catches.Recent, 2.7, 3);
    }

    [Fact]
    public void A_brake_that_holds_and_does_not_let_go_is_no_catch()
    {
        Run(10, 15, 15);
        Run(60, 5, 20);

        Assert.Equal(0, _catches.Recent);
    }

    [Fact]
    public void An_unwind_that_lags_a_swinging_command_is_no_catch()
    {
        for (double t = 0; t < 120; t += PollSeconds)
        {
            double command = 15 + (8 * Math.Sin(2 * Math.PI * 0.1 * t));
            double unwind = 15 + (7 * Math.Sin((2 * Math.PI * 0.1 * t) - 0.6));
            _catches.Add(PollSeconds, unwind, command);
        }

        Assert.Equal(0, _catches.Recent);
    }

    [Fact]
    public void An_unwind_that_is_slowed_gently_and_gathers_speed_again_is_no_catch()
    {
        for (double t = 0; t < 120; t += PollSeconds)
            _catches.Add(PollSeconds, 15 + (8 * Math.Sin(2 * Math.PI * 0.2 * t)), 15);

        Assert.Equal(0, _catches.Recent);
    }

    [Fact]
    public void Where_what_is_asked_comes_to_be_known_the_unwind_was_not_just_held()
    {
        Run(10, 15, 15);
        Run(5, 4, double.NaN);
        Run(0.5, 4, 15);
        Run(5, 15, 15);

        Assert.Equal(0, _catches.Recent);
    }

    [Fact]
    public void Without_a_command_nothing_is_counted_and_a_stop_breaks_a_hold_off()
    {
        Run(10, 15, double.NaN);
        Run(1, 0, double.NaN);
        Run(10, 15, 15);
        Run(0.5, 2, 15);
        _catches.Pause();
        Run(5, 15, 15);

        Assert.Equal(0, _catches.Recent);
    }
}
