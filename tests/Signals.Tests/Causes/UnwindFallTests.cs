using Dancerwatch.Signals.Causes;

namespace Dancerwatch.Signals.Tests.Causes;

public sealed class UnwindFallTests
{
    private const double PollSeconds = 0.02;
    private readonly UnwindFall _fall = new();

    /// <summary>A follower that lags by 0.1 s stands 0.1 s of a ramp above it, and a poll more: the step it has not yet taken.</summary>
    [Theory]
    [InlineData(0.5)]
    [InlineData(1)]
    public void An_unwind_that_falls_on_a_ramp_shows_the_ramps_slope(double seconds)
    {
        Run(10, _ => 15);
        Run(seconds, t => 15 * (1 - (t / seconds)));

        Assert.InRange(_fall.PercentPerSecond, 95 / seconds, 122 / seconds);
    }

    [Fact]
    public void Film_that_catches_stops_a_roll_several_times_as_steeply_as_a_brake_does()
    {
        Run(10, _ => 15);
        Run(0.04, _ => 0);
        double caught = _fall.PercentPerSecond;
        _fall.Clear();
        Run(10, _ => 15);
        Run(0.5, t => 15 * (1 - (t / 0.5)));

        Assert.True(caught > 4 * _fall.PercentPerSecond);
    }

    [Fact]
    public void A_fall_is_half_forgotten_after_two_seconds()
    {
        Run(10, _ => 15);
        Run(0.04, _ => 5);
        double before = _fall.PercentPerSecond;
        Run(2, _ => 5);

        Assert.InRange(_fall.PercentPerSecond, 0.48 * before, 0.52 * before);
    }

    [Fact]
    public void An_unwind_that_slows_down_because_it_is_asked_to_does_not_fall()
    {
        Run(10, _ => 15);
        for (int i = 0; i < 50; i++)
            _fall.Add(PollSeconds, 15 - (0.3 * i), command: 14.9 - (0.3 * i));

        Assert.Equal(0, _fall.PercentPerSecond);
    }

    [Fact]
    public void Without_a_command_nothing_is_added_and_a_missed_speed_does_no_harm()
    {
        Run(10, _ => 15);
        Run(1, _ => 0, command: double.NaN);
        Assert.Equal(0, _fall.PercentPerSecond);

        Run(10, _ => 15);
        _fall.Add(PollSeconds, double.NaN, 15);
        Run(0.04, _ => 0);
        Assert.InRange(_fall.PercentPerSecond, 500, 1_000);
    }

    private void Run(double seconds, Func<double, double> unwind, double command = 15)
    {
        for (double t = PollSeconds; t < seconds + (PollSeconds / 2); t += PollSeconds)
            _fall.Add(PollSeconds, unwind(t), command);
    }
}
