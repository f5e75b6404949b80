using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

/// <summary>The small parts: pull, brake, sensor, pick-up, snag, edge, trip.</summary>
public sealed class PartsTests
{
    [Fact]
    public void Each_cycle_pulls_one_bag_in_its_share_of_the_cycle()
    {
        FilmDraw draw = new(share: 0.4);
        for (int i = 0; i < 5000; i++)
            draw.Step(0.001, 1, 0.25, running: true, tripped: false);
        double[] pull = [.. Enumerable.Range(0, 60_000).Select(_ => draw.Step(0.001, 1, 0.25, true, false))];

        Assert.Equal(60 * 0.25, pull.Sum() * 0.001, tolerance: 0.01);
        Assert.Equal(0.4, pull.Count(speed => speed > 0) / 60_000.0, tolerance: 0.005);
        // A trapezoid of thirds peaks at 1.5 times the mean over the pull.
        Assert.Equal(1.5 * 0.25 / 0.4, pull.Max(), tolerance: 1e-6);
    }

    [Fact]
    public void A_trip_stops_the_pull_short_and_a_stop_lets_it_run_down()
    {
        static double SecondsToStand(bool tripped)
        {
            FilmDraw draw = new(share: 0.5);
            for (int i = 0; i < 5000; i++)
                draw.Step(0.001, 1, 0.25, running: true, tripped: false);
            int steps = 0;
            for (; draw.CyclesPerSecond > 0 && steps < 10_000; steps++)
                draw.Step(0.001, 1, 0.25, running: false, tripped);
            return steps * 0.001;
        }

        Assert.Equal(1.5, SecondsToStand(tripped: false), tolerance: 0.01);
        Assert.Equal(0.3, SecondsToStand(tripped: true), tolerance: 0.01);
    }

    [Fact]
    public void A_spring_linked_brake_bears_by_where_the_dancer_is_whatever_the_controller_thinks()
    {
        SpindleBrake brake = new(
            new MachineParameters { BrakeFromPercent = 88, BrakeTorqueNewtonMeters = 20 }
        );
        double Settled(double dancer)
        {
            double torque = 0;
            for (int i = 0; i < 500; i++)
                torque = brake.Step(0.001, dancer, controllerPercent: 0, false, 0, 0);
            return torque;
        }

        Assert.Equal(0, Settled(87));
        Assert.Equal(10, Settled(93), tolerance: 1e-6);
        Assert.Equal(20, Settled(105), tolerance: 1e-6);
        Assert.True(brake.IsOn);
        Assert.True(double.IsNaN(brake.PressureBar));
    }

    // First-order lag of 0.15 s to 6 bar: 63.2 % after one time constant (textbook).
    [Fact]
    public void An_air_brake_follows_its_valve_with_a_lag_and_lets_go_with_hysteresis()
    {
        SpindleBrake brake = new(new MachineParameters { Brake = BrakeKind.Air, BrakeFromPercent = 88 });
        void Run(int steps, double controller)
        {
            for (int i = 0; i < steps; i++)
                brake.Step(0.001, dancerPercent: 0, controller, false, 0, 0);
        }

        Run(150, 90);
        Assert.Equal(6 * 0.632, brake.PressureBar, tolerance: 0.02);
        Run(500, 86);
        Assert.True(brake.IsOn);
        Run(1500, 83);
        Assert.False(brake.IsOn);
        Assert.Equal(0, brake.PressureBar, tolerance: 0.01);
    }

    [Theory]
    [InlineData(600, 3500)]
    [InlineData(3500, 600)]
    public void The_gap_runs_straight_between_the_set_points_in_either_direction(double empty, double full)
    {
        MachineParameters machine = new()
        {
            GapAtEmptyCounts = empty,
            GapAtFullCounts = full,
            GapNoiseCounts = 0,
        };
        GapSensor sensor = new(machine, new Random(1));
        Defects none = Defects.None(machine);

        Assert.Equal(empty, sensor.Sample(0, 0.01, none));
        Assert.Equal(full, sensor.Sample(100, 0.01, none));
        Assert.Equal(2050, sensor.Sample(50, 0.01, none));
        Assert.InRange(sensor.Sample(-500, 0.01, none), 0, 4095);
        Assert.InRange(sensor.Sample(500, 0.01, none), 0, 4095);
    }

    [Fact]
    public void A_bowed_cam_is_true_at_its_ends_and_off_in_the_middle()
    {
        MachineParameters machine = new() { CamBowPercent = 6 };

        Assert.Equal(0, machine.StraightPercent(0));
        Assert.Equal(56, machine.StraightPercent(50));
        Assert.Equal(100, machine.StraightPercent(100));
        Assert.Equal(108, machine.StraightPercent(108));
    }

    [Fact]
    public void A_roller_sees_an_eccentric_rolls_ripple_and_the_spindle_does_not()
    {
        static double Ripple(SpeedSource source)
        {
            SpeedPickup pickup = new(new MachineParameters { SpeedSource = source }, new Random(1));
            double[] speed = new double[1000];
            for (int i = 0; i < speed.Length; i++)
            {
                pickup.Scan(0.01, 0.2 + (0.02 * Math.Sin(i * 0.01)), 0.2);
                speed[i] = pickup.MetersPerMinute;
            }
            return speed[100..].StandardDeviation();
        }

        // 0.02 m/s of amplitude is 1.2 m/min, 0.85 in standard deviation.
        Assert.Equal(0.85, Ripple(SpeedSource.Roller), tolerance: 0.08);
        Assert.InRange(Ripple(SpeedSource.Spindle), 0.01, 0.05);
    }

    [Fact]
    public void A_snag_holds_its_share_of_time()
    {
        FilmSnag snag = new(10, new Random(1));
        int held = Enumerable.Range(0, 2_000_000).Count(_ => snag.Step(0.001, 0.3) > 0);

        Assert.Equal(0.3, held / 2e6, tolerance: 0.03);
        Assert.Equal(0, snag.Step(0.001, 0));
    }

    [Fact]
    public void The_films_edge_wanders_by_itself_and_with_the_dancer()
    {
        MachineParameters still = new() { EdgeWanderMillimeters = 0.3, EdgeMillimetersPerPercentOfFill = 0 };
        FilmEdge edge = new(still, new Random(1));
        double[] wander = new double[200_000];
        for (int i = 0; i < wander.Length; i++)
        {
            edge.Scan(0.01, 90);
            wander[i] = edge.Millimeters;
        }
        Assert.Equal(0.3, wander.StandardDeviation(), tolerance: 0.05);

        FilmEdge led = new(
            new MachineParameters { EdgeWanderMillimeters = 0, EdgeMillimetersPerPercentOfFill = 0.02 },
            new Random(1)
        );
        led.Scan(0.01, 80);
        Assert.Equal(0.6, led.Millimeters, precision: 9);
    }

    [Fact]
    public void A_trip_waits_for_its_hold_time_past_its_overtravel()
    {
        TripLatch trip = new(overtravelPercent: 5, holdSeconds: 0.5);
        void Run(double seconds, double fill)
        {
            for (int i = 0; i < seconds * 100; i++)
                trip.Scan(fill, 50, 0.01);
        }

        Run(10, 104.9);
        Run(0.45, 106);
        Run(0.02, 104);
        Run(0.45, 106);
        Assert.False(trip.IsTripped);
        Run(0.1, 106);
        Assert.True(trip.Full);
        Run(10, -50);
        Assert.False(trip.Empty);
        trip.Clear();
        Run(0.6, -5.1);
        Assert.True(trip.Empty);
    }

    [Fact]
    public void The_end_switch_trips_even_where_the_sensor_says_all_is_well()
    {
        TripLatch trip = new(overtravelPercent: 5, holdSeconds: 0.5);
        for (int i = 0; i < 60; i++)
            trip.Scan(fillPercent: 50, dancerPercent: -13, 0.01);

        Assert.True(trip.Empty);
    }
}
