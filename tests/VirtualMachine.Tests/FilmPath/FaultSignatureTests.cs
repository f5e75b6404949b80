using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

/// <summary>What each fault shows to somebody who sees only the controller's values (expectations: physics of each part).</summary>
public sealed class FaultSignatureTests
{
    private static readonly MachineParameters s_machine = new();

    private static VirtualDancer With(Fault fault, double severity, MachineParameters? machine = null)
    {
        VirtualDancer dancer = new(machine ?? s_machine, 1, new FaultSchedule(fault, 0, 0, severity));
        dancer.Start();
        dancer.Advance(30);
        return dancer;
    }

    private static VirtualDancer Healthy(MachineParameters? machine = null) =>
        With(Fault.LoopHunting, 0, machine);

    private static double Seen(VirtualDancer dancer) =>
        100.0
        * (dancer.Image.GapCounts - dancer.Image.GapAtEmpty)
        / (dancer.Image.GapAtFull - dancer.Image.GapAtEmpty);

    [Fact]
    public void A_hunting_loop_swings_slower_than_anything_that_turns()
    {
        double[] fill = With(Fault.LoopHunting, 0.7).Sample(4000, 0.05, Seen);
        double hertz = fill.StrongestHertz(0.05, 0.02, 2);
        double turn =
            s_machine.LineMetersPerMinute / 60 / (Math.PI * s_machine.RollDiameterMillimeters / 1000);

        Assert.InRange(hertz, 0.03, 0.8 * turn);
        Assert.True(fill.Swing() > 2 * Healthy().Sample(4000, 0.05, Seen).Swing());
    }

    [Theory]
    [InlineData(350)]
    [InlineData(250)]
    public void An_eccentric_roll_moves_the_dancer_once_per_turn(double diameter)
    {
        MachineParameters machine = new()
        {
            RollDiameterMillimeters = diameter,
            EccentricityMillimeters = 8,
            FilmThicknessMicrometers = 30,
        };
        VirtualDancer dancer = Healthy(machine);
        double[] fill = dancer.Sample(2000, 0.05, Seen);

        // v / (pi D): textbook kinematics. The roll shrinks a little over the 100 s.
        double expected =
            machine.LineMetersPerMinute / 60 / (Math.PI * dancer.Truth.RollDiameterMillimeters / 1000);
        Assert.Equal(expected, fill.StrongestHertz(0.05, 0.05, 0.6), tolerance: 0.02 * expected);
    }

    [Fact]
    public void Longer_bags_swing_more_once_a_cycle()
    {
        double[] usual = Healthy().Sample(3000, 0.02, Seen);
        VirtualDancer dancer = With(Fault.CycleSwing, 0.2);
        double[] fill = dancer.Sample(3000, 0.02, Seen);

        Assert.True(fill.Swing() > 2 * usual.Swing());
        Assert.Equal(dancer.Image.CycleRate / 60, fill.StrongestHertz(0.02, 0.1, 2), tolerance: 0.01);
        Assert.Equal(s_machine.LineMetersPerMinute, dancer.Image.LineSpeed, tolerance: 0.01);
    }

    [Fact]
    public void A_dragging_brake_makes_the_unwind_lack_speed_and_keeps_its_air()
    {
        MachineParameters air = s_machine with { Brake = BrakeKind.Air };
        VirtualDancer healthy = Healthy(air);
        VirtualDancer dancer = With(Fault.BrakeDrag, 0.2, air);
        static double Lack(VirtualDancer d) =>
            d.Sample(1000, 0.02, x => x.Image.UnwindCommand - x.Image.UnwindSpeed).Average();

        Assert.True(Lack(dancer) > Lack(healthy) + (0.05 * air.LineMetersPerMinute));
        Assert.Equal(0, healthy.Image.BrakePressure, tolerance: 0.01);
        Assert.InRange(dancer.Image.BrakePressure, 0.5, 6);
        Assert.True(dancer.Truth.DriveTorqueNewtonMeters > 2 * healthy.Truth.DriveTorqueNewtonMeters);
    }

    [Fact]
    public void A_roll_without_brake_runs_on_at_a_stop()
    {
        static double Gained(VirtualDancer dancer)
        {
            dancer.Stop();
            double before = dancer.Sample(150, 0.01, x => x.Truth.FillPercent).Average();
            return dancer.Sample(800, 0.01, x => x.Truth.FillPercent).Max() - before;
        }
        MachineParameters heavy = s_machine with
        {
            RollDiameterMillimeters = 440,
            FilmWidthMillimeters = 480,
        };

        Assert.True(Gained(With(Fault.RollOverrun, 1, heavy)) > Gained(Healthy(heavy)) + 15);
    }

    [Fact]
    public void Under_a_drifting_sensor_fill_reads_near_target_while_film_goes()
    {
        VirtualDancer dancer = new(s_machine, 1, new FaultSchedule(Fault.SensorDrift, 60, 600, 0.5));
        dancer.Start();
        dancer.Advance(500);

        Assert.InRange(dancer.Sample(1000, 0.02, Seen).Average(), 35, 60);
        Assert.InRange(dancer.Sample(1000, 0.02, x => x.Truth.FillPercent).Average(), -5, 20);
    }

    [Fact]
    public void A_noisy_sensor_jumps_from_scan_to_scan_while_the_dancer_does_not()
    {
        static double Roughness(double[] x) =>
            Enumerable
                .Range(1, x.Length - 2)
                .Select(i => x[i + 1] - (2 * x[i]) + x[i - 1])
                .ToArray()
                .StandardDeviation();
        VirtualDancer dancer = With(Fault.SensorNoise, 0.3);

        Assert.True(
            Roughness(dancer.Sample(2000, 0.01, Seen)) > 5 * Roughness(Healthy().Sample(2000, 0.01, Seen))
        );
        Assert.True(Roughness(dancer.Sample(2000, 0.01, x => x.Truth.FillPercent)) < 0.2);
    }

    [Fact]
    public void A_sensor_stuck_in_part_of_travel_cuts_the_swing_off_level()
    {
        // Gap grows with fill: blind from 115 % down to 52 % at 0.79 of the way to target - 15 %.
        VirtualDancer dancer = With(Fault.SensorStuck, 0.79);
        double[] gap = dancer.Sample(2000, 0.02, x => x.Image.GapCounts);
        double share = gap.Count(value => value == gap.Max()) / 2000.0;

        Assert.InRange(share, 0.1, 0.9);
        Assert.True(Healthy().Sample(2000, 0.02, x => x.Image.GapCounts).Max() > gap.Max());
    }

    [Fact]
    public void A_saturated_drive_runs_level_at_its_limit_while_fill_sinks()
    {
        VirtualDancer dancer = new(s_machine, 1, new FaultSchedule(Fault.DriveSaturation, 30, 0));
        dancer.Start();
        dancer.Advance(40);
        double before = dancer.Truth.FillPercent;
        double[] command = dancer.Sample(200, 0.05, x => x.Image.UnwindCommand);

        Assert.Equal(0.9 * s_machine.LineMetersPerMinute, command[^1], tolerance: 1e-6);
        Assert.Equal(0, command.Swing(), tolerance: 1e-9);
        Assert.True(dancer.Truth.FillPercent < before - 5);
    }

    [Fact]
    public void An_ending_roll_comes_down_to_its_core_at_the_time_given()
    {
        VirtualDancer dancer = new(s_machine, 1, new FaultSchedule(Fault.RollEnding, 60, 240));
        dancer.Start();
        dancer.Advance(290);
        Assert.InRange(dancer.Truth.RollMeters, 0.1, 5);
        dancer.Advance(30);

        Assert.Equal(0, dancer.Truth.RollMeters);
        Assert.Equal(s_machine.CoreDiameterMillimeters, dancer.Image.RollDiameter, tolerance: 1e-6);
        Assert.True(dancer.Image.EmptySideTrip);
    }

    [Fact]
    public void Snagging_film_stops_the_unwind_in_jerks()
    {
        double[] speed = With(Fault.FilmSnag, 0.4).Sample(6000, 0.01, x => x.Image.UnwindSpeed);

        Assert.InRange(speed.Count(value => value < 0.2 * s_machine.LineMetersPerMinute) / 6000.0, 0.03, 0.4);
        Assert.True(speed.Max() > s_machine.LineMetersPerMinute);
        Assert.True(
            Healthy().Sample(6000, 0.01, x => x.Image.UnwindSpeed).Min() > 0.6 * s_machine.LineMetersPerMinute
        );
    }

    [Fact]
    public void Wrong_set_points_show_in_their_tags()
    {
        VirtualDancer dancer = With(Fault.SetpointError, 0.2);

        // 15 % of the span of 2,900 counts.
        Assert.Equal(600 + 435, dancer.Image.GapAtEmpty);
        Assert.Equal(3500 + 435, dancer.Image.GapAtFull);
        Assert.InRange(dancer.Sample(1000, 0.02, x => x.Truth.FillPercent).Average(), 55, 70);
    }
}
