using Dancerwatch.Signals.Causes;

namespace Dancerwatch.Signals.Tests.Causes;

public sealed class RecentSurplusTests
{
    private const double PollSeconds = 0.02;
    private readonly RecentSurplus _surplus = new();

    [Fact]
    public void An_unwind_that_runs_ahead_of_what_is_asked_of_it_shows_by_how_much()
    {
        Run(10, 12, 12);
        Run(1, 15, 12);

        Assert.InRange(_surplus.Percent, 24, 25);
    }

    [Fact]
    public void A_peak_is_half_forgotten_after_ten_seconds()
    {
        Run(10, 12, 12);
        Run(1, 15, 12);
        double before = _surplus.Percent;
        Run(0.5, 12, 12); // the unwind's own lag runs out
        Run(9.5, 12, 12);

        Assert.InRange(_surplus.Percent, 0.48 * before, 0.54 * before);
    }

    [Fact]
    public void A_drive_that_lags_a_command_that_falls_is_no_surplus()
    {
        Run(10, 15, 15);
        double unwind = 15;
        for (int i = 0; i < 500; i++)
        {
            unwind += (10 - unwind) * PollSeconds / 0.8;
            _surplus.Add(PollSeconds, unwind, 10);
        }

        Assert.InRange(_surplus.Percent, 0, 2);
    }

    [Fact]
    public void Neither_a_brake_nor_film_that_catches_makes_a_roll_run_ahead()
    {
        Run(10, 12, 12);
        Run(5, 6, 14);
        Run(0.5, 1, 14);
        Run(5, 12, 12);

        Assert.Equal(0, _surplus.Percent, 1e-9);
    }

    [Fact]
    public void Without_a_command_nothing_is_added_and_a_stop_is_no_surplus()
    {
        Run(10, 15, double.NaN);
        Run(10, 12, 12);
        _surplus.Pause();
        Run(0.2, 12, 6);

        Assert.Equal(0, _surplus.Percent);
    }

    private void Run(double seconds, double unwind, double command)
    {
        for (int i = 0; i < seconds / PollSeconds; i++)
            _surplus.Add(PollSeconds, unwind, command);
    }
}
