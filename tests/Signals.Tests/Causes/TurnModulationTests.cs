using Dancerwatch.Signals.Causes;

namespace Dancerwatch.Signals.Tests.Causes;

/// <summary>An unwind of 12 m/min read every 10 to 30 ms; the roll turns at 0.35 Hz, the machine cycles at 1 Hz.</summary>
public sealed class TurnModulationTests
{
    private const double TurnHz = 0.35;
    private const double CycleHz = 1;
    private readonly TurnModulation _turn = new();
    private readonly Random _random = new(7);

    [Theory]
    [InlineData(0.02)]
    [InlineData(0.06)]
    [InlineData(0.3)]
    public void A_swing_once_a_turn_is_found_with_its_amplitude_on_uneven_times(double share)
    {
        Run(60, t => 12 * (1 + (share * Math.Sin((2 * Math.PI * TurnHz * t) + 1))));

        // A turn ends with the first reading beyond it: a tenth of a percent at most.
        Assert.InRange(_turn.Percent, (98 * share) - 0.1, (102 * share) + 0.1);
    }

    [Fact]
    public void The_same_swing_beside_the_machines_cycle_is_found_as_well()
    {
        Run(
            60,
            t =>
                12
                + (3 * Math.Sin(2 * Math.PI * CycleHz * t))
                + (0.06 * 12 * Math.Sin(2 * Math.PI * TurnHz * t))
        );

        Assert.InRange(_turn.Percent, 5.6, 6.4);
    }

    [Fact]
    public void The_machines_own_cycle_is_none()
    {
        Run(60, t => 12 + (4 * Math.Sin(2 * Math.PI * CycleHz * t)));

        Assert.InRange(_turn.Percent, 0, 0.5);
    }

    [Fact]
    public void Jerks_that_fall_on_any_angle_show_a_small_part_of_what_jerks_at_one_angle_do()
    {
        double next = 0;
        double atOneAngle = MeanPercent(t => t * TurnHz % 1 < 0.1);
        double atAnyAngle = MeanPercent(t =>
        {
            if (t > next + 0.3)
                next = t - (Math.Log(1 - _random.NextDouble()) / TurnHz); // once a turn on average
            return t > next;
        });

        Assert.InRange(atOneAngle, 15, 25);
        Assert.InRange(atAnyAngle, 0, 0.15 * atOneAngle);
    }

    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void Near_the_cycle_and_twice_and_thrice_it_nothing_is_known(int multiple)
    {
        Run(60, t => 12 * (1 + (0.1 * Math.Sin(2 * Math.PI * TurnHz * t))), 1.03 * TurnHz / multiple);

        Assert.True(double.IsNaN(_turn.Percent));
    }

    [Fact]
    public void Eight_turns_must_be_seen_and_a_stop_or_another_roll_ends_what_was()
    {
        Run(7.5 / TurnHz, _ => 12);
        Assert.True(double.IsNaN(_turn.Percent));
        Run(1 / TurnHz, _ => 12);
        Assert.InRange(_turn.Percent, 0, 0.1);
        _turn.Clear();
        Assert.True(double.IsNaN(_turn.Percent));
    }

    [Fact]
    public void A_cycle_rate_that_is_not_read_hinders_nothing_and_a_missed_speed_does_no_harm()
    {
        int i = 0;
        Run(
            60,
            t => i++ % 50 == 0 ? double.NaN : 12 * (1 + (0.06 * Math.Sin(2 * Math.PI * TurnHz * t))),
            double.NaN
        );

        Assert.InRange(_turn.Percent, 5.6, 6.4);
    }

    [Fact]
    public void Without_a_rate_of_the_roll_nothing_is_known()
    {
        for (int i = 0; i < 5_000; i++)
            _turn.Add(0.02, 12, double.NaN, CycleHz);

        Assert.True(double.IsNaN(_turn.Percent));
    }

    [Fact]
    public void A_reading_allocates_nothing() =>
        Assert.Equal(0, Allocated.Bytes(_ => Run(40, static _ => 12)));

    private double MeanPercent(Func<double, bool> isHeld)
    {
        _turn.Clear();
        (double sum, int all) = (0, 0);
        Run(
            3_600,
            t =>
            {
                if (double.IsFinite(_turn.Percent))
                    (sum, all) = (sum + _turn.Percent, all + 1);
                return isHeld(t) ? 1 : 12;
            }
        );
        return sum / all;
    }

    private void Run(double seconds, Func<double, double> unwind, double cycleHz = CycleHz)
    {
        for (double t = 0; t < seconds; )
        {
            double elapsed = 0.01 + (0.02 * _random.NextDouble());
            t += elapsed;
            _turn.Add(elapsed, unwind(t), TurnHz, cycleHz);
        }
    }
}
