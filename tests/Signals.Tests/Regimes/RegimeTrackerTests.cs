using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Tests.Readings;

namespace Dancerwatch.Signals.Tests.Regimes;

/// <summary>What a machine goes through in a shift, told by each of the witnesses there may be.</summary>
public sealed class RegimeTrackerTests
{
    private static readonly Regime[] s_startAndStop =
    [
        Regime.Stopped,
        Regime.Starting,
        Regime.Running,
        Regime.Stopping,
        Regime.Stopped,
    ];

    public static TheoryData<string> Witnesses() => ["running", "line", "unwind", "intermittent unwind"];

    [Theory, MemberData(nameof(Witnesses))]
    public void A_start_and_a_stop_are_told_whatever_the_witness(string witness)
    {
        MachineScript machine = Machine(witness).At(0).For(10).At(20).For(30).At(0).For(20);

        Assert.Equal(s_startAndStop, machine.Sequence);
        double runs = machine.Seen.First(s => s.Estimate.Regime == Regime.Running).Seconds;
        double stops = machine.Seen.First(s => s.Estimate.Regime == Regime.Stopping).Seconds;
        Assert.InRange(runs - 10, 3, 9); // after the ramp, and not much later
        Assert.InRange(stops - 40, 0, 1.3); // at once, or when a pause has lasted too long for one
    }

    [Theory, MemberData(nameof(Witnesses))]
    public void A_machine_that_runs_when_watching_begins_counts_after_one_start(string witness)
    {
        MachineScript machine = Machine(witness).At(20).For(60);

        Assert.Equal([Regime.Starting, Regime.Running], machine.Sequence);
        Assert.True(machine.Last.CountsForStatistics);
    }

    /// <summary>Storage 1.5 m; 9 m/min is 0.15 m/s, 10 % of fill a second.</summary>
    [Theory]
    [InlineData(9, 10)] // film is given
    [InlineData(-9, -10)] // and taken back
    public void Hands_that_turn_the_roll_start_no_machine(double speed, double percentPerSecond)
    {
        MachineScript machine = new(storageMillimeters: 1500);
        machine.At(0).For(10).At(speed).For(4, t => 50 + (percentPerSecond * t)).At(0);
        machine.For(10, _ => 50 + (4 * percentPerSecond));

        Assert.Equal([Regime.Stopped], machine.Sequence);
    }

    [Fact]
    public void Film_that_goes_through_starts_it_within_a_second()
    {
        MachineScript machine = new(storageMillimeters: 1500);
        machine.At(0).For(10).At(9).For(30);

        Assert.Equal([Regime.Stopped, Regime.Starting, Regime.Running], machine.Sequence);
        Assert.InRange(machine.Seen.First(s => s.Estimate.Regime == Regime.Starting).Seconds, 10.2, 11);
    }

    [Fact]
    public void A_roll_that_is_held_at_once_leaves_the_machine_drawing_from_the_dancer()
    {
        MachineScript machine = new(storageMillimeters: 1500);
        machine.At(0).For(10).At(9).For(0.2, t => 50 - (10 * t)).At(0).For(2, t => 48 - (10 * t));

        Assert.Equal([Regime.Stopped, Regime.Starting], machine.Sequence);
    }

    /// <summary>Storage 1.5 m: 60 bags of 150 mm a minute are 10 % of fill each, drawn in half a second.</summary>
    [Fact]
    public void A_roll_that_stands_from_the_first_moment_leaves_the_machines_own_pulls()
    {
        MachineScript machine = new(storageMillimeters: 1500) { Pull = new UsualPull(150, 1) };
        machine.At(0).For(10).For(1.9, t => 50 - Pulled(t, 10, 1));
        Assert.Equal([Regime.Stopped], machine.Sequence);

        machine.For(1, t => 50 - Pulled(t + 1.9, 10, 1));

        Assert.Equal([Regime.Stopped, Regime.Starting], machine.Sequence);
    }

    [Fact]
    public void After_a_trip_one_bag_and_the_next_under_way_are_enough()
    {
        MachineScript machine = new(storageMillimeters: 1500) { Pull = new UsualPull(150, 1) };
        machine.At(9).For(30).At(0).For(12, t => 50 - (5 * t)).For(10, _ => -10).For(5);
        Assert.Equal((Regime.Tripped, Side.Empty), (machine.Last.Regime, machine.Last.TripSide));

        machine.For(1.45, t => 50 - Pulled(t, 10, 1));

        Assert.Equal(Regime.Starting, machine.Last.Regime);
    }

    [Fact]
    public void A_dancer_that_is_wound_up_from_its_stop_by_hand_starts_no_machine()
    {
        MachineScript machine = new(storageMillimeters: 1500);
        machine.At(9).For(30).At(0).For(12, t => 50 - (5 * t)).For(10, _ => -10);
        Assert.Equal(Regime.Tripped, machine.Last.Regime);

        // The dancer lies on its stop for the first 1.5 s, and a bowed cam shows an eighth less than hands give.
        machine.At(9).For(1.5, _ => -10).For(6, t => -10 + (0.88 * 10 * t)).At(0).For(5, _ => 42.8);

        Assert.Equal(Regime.Tripped, machine.Last.Regime);
    }

    /// <summary>40 cycles a minute: film is drawn for half a second, and a second goes by without any.</summary>
    [Fact]
    public void A_held_roll_leaves_a_slow_machine_running_while_it_draws_from_the_dancer()
    {
        MachineScript machine = new(storageMillimeters: 1500);
        machine.At(9).For(30).At(0).For(9, t => 50 - Pulled(t, 6, 1.5));

        Assert.Equal([Regime.Starting, Regime.Running], machine.Sequence);
        machine.For(5, _ => 14);
        Assert.Equal(Regime.Stopped, machine.Last.Regime);
    }

    [Fact]
    public void A_noisy_sensor_does_not_keep_a_machine_that_stands_running()
    {
        Random random = new(5);
        MachineScript machine = new(storageMillimeters: 1500);
        machine.At(9).For(30).At(0).For(20, _ => 50 + (4 * (random.NextDouble() + random.NextDouble() - 1)));

        Assert.Equal(Regime.Stopped, machine.Last.Regime);
    }

    [Theory, MemberData(nameof(Witnesses))]
    public void A_jog_never_counts(string witness)
    {
        MachineScript machine = Machine(witness).At(0).For(10).At(6).For(1.5).At(0).For(20);

        Assert.Equal([Regime.Stopped, Regime.Starting, Regime.Stopping, Regime.Stopped], machine.Sequence);
    }

    [Theory]
    [InlineData(30)]
    [InlineData(60)]
    [InlineData(120)]
    public void Pauses_of_an_intermittent_cycle_are_no_stops(double cyclesPerMinute)
    {
        MachineScript machine = Machine("unwind");
        machine.CyclesPerMinute = cyclesPerMinute;
        machine.At(20).For(120);

        Assert.Equal([Regime.Starting, Regime.Running], machine.Sequence);
    }

    [Fact]
    public void A_longer_pause_is_left_out_and_running_goes_on_without_a_new_start()
    {
        MachineScript machine = Machine("unwind").At(20).For(30).At(0).For(2.2).At(20).For(5);

        Assert.Equal([Regime.Starting, Regime.Running, Regime.Stopping, Regime.Running], machine.Sequence);
    }

    [Fact]
    public void An_unwind_that_fails_while_the_machine_draws_the_dancer_empty_is_no_stop_but_a_trip()
    {
        MachineScript machine = Machine("unwind").At(20).For(30);
        machine.At(0).For(11, t => 50 - (5 * t)); // down to -5 %: still drawn, for the dancer moves
        Assert.Equal(Regime.Running, machine.Last.Regime);

        machine.For(1, t => -5 - (3 * t)).For(10, _ => -8);

        Assert.Equal(Regime.Tripped, machine.Last.Regime);
        Assert.Equal(Side.Empty, machine.Last.TripSide);
    }

    [Theory]
    [InlineData(Signal.FullSideTrip, Side.Full)]
    [InlineData(Signal.EmptySideTrip, Side.Empty)]
    public void A_trip_signal_is_believed_at_once_and_ends_the_trip_too(Signal signal, Side side)
    {
        MachineScript machine = Machine("running").With(signal, 0).At(20).For(30);
        machine.With(signal, 1).At(0).For(5);
        Assert.Equal((Regime.Tripped, side), (machine.Last.Regime, machine.Last.TripSide));
        Assert.Equal(5, machine.Last.Seconds, 0.05);

        machine.With(signal, 0).For(1);
        Assert.Equal((Regime.Stopped, Side.None), (machine.Last.Regime, machine.Last.TripSide));
    }

    [Fact]
    public void A_stop_just_after_fill_was_past_its_limit_is_a_trip_until_film_moves()
    {
        MachineScript machine = Machine("running").At(20).For(30).For(1, _ => 107);
        machine.At(0).For(20, _ => 107).For(5, _ => 40);
        Assert.Equal((Regime.Tripped, Side.Full), (machine.Last.Regime, machine.Last.TripSide));

        machine.At(20).For(15);
        Assert.Equal(Regime.Running, machine.Last.Regime);
        machine.At(0).For(15);
        Assert.Equal(Regime.Stopped, machine.Last.Regime); // the old trip is forgotten
    }

    [Fact]
    public void Fill_past_its_limit_for_less_than_the_hold_time_makes_no_stop_a_trip()
    {
        MachineScript machine = Machine("running").At(20).For(30).For(0.4, _ => 107).For(0.2);

        machine.At(0).For(10);

        Assert.Equal(Regime.Stopped, machine.Last.Regime);
    }

    [Fact]
    public void Where_the_controller_tells_of_trips_none_is_made_up()
    {
        MachineScript machine = Machine("running").With(Signal.FullSideTrip, 0).At(20).For(30);

        machine.For(1, _ => 107).At(0).For(10, _ => 107);

        Assert.Equal(Regime.Stopped, machine.Last.Regime);
    }

    [Fact]
    public void A_roll_put_on_at_standstill_is_a_roll_change()
    {
        MachineScript machine = Machine("running").With(Signal.RollDiameter, 90).At(20).For(20).At(0).For(10);
        machine.With(Signal.RollDiameter, 300).For(10);

        Assert.Equal(Regime.RollChange, machine.Last.Regime);
        Assert.Single(machine.Seen, s => s.Estimate.RollChanged);
        machine.At(20).For(20);
        Assert.Equal(Regime.Running, machine.Last.Regime);
    }

    [Fact]
    public void Film_threaded_through_a_stopped_dancer_is_a_roll_change_but_makes_no_new_roll()
    {
        MachineScript machine = Machine("running").At(20).For(20).At(0).For(10);
        machine.For(10, t => 50 - (5 * t));

        Assert.Equal(Regime.RollChange, machine.Last.Regime);
        Assert.DoesNotContain(machine.Seen, s => s.Estimate.RollChanged);
    }

    [Fact]
    public void A_splice_while_running_is_flagged_and_running_goes_on_settling()
    {
        MachineScript machine = Machine("line").With(Signal.RollDiameter, 100).At(20).For(40);
        int before = machine.Seen.Count;
        machine.With(Signal.RollDiameter, 400).For(20);

        IEnumerable<RegimeEstimate> after = machine.Seen.Skip(before).Select(s => s.Estimate);
        Assert.All(after, e => Assert.Equal(Regime.Running, e.Regime));
        Assert.Single(after, e => e.RollChanged);
        Assert.Contains(after, e => e.Settling);
        Assert.False(machine.Last.Settling);
    }

    [Fact]
    public void A_diameter_read_past_the_roll_for_a_moment_is_no_new_roll()
    {
        MachineScript machine = Machine("line").With(Signal.RollDiameter, 100).At(20).For(40);

        machine.With(Signal.RollDiameter, 900).For(0.5).With(Signal.RollDiameter, 100).For(10);

        Assert.DoesNotContain(machine.Seen, s => s.Estimate.RollChanged);
    }

    [Fact]
    public void Another_product_is_flagged_once_and_a_lost_read_of_it_is_not()
    {
        MachineScript machine = Machine("running").With(Signal.Product, 7).At(20).For(20);
        machine.With(Signal.Product, double.NaN).For(5).With(Signal.Product, 7).For(5);
        Assert.DoesNotContain(machine.Seen, s => s.Estimate.ProductChanged);

        machine.With(Signal.Product, 8).For(5);

        Assert.Single(machine.Seen, s => s.Estimate.ProductChanged);
    }

    [Theory]
    [InlineData("line", 10)]
    [InlineData("unwind", 100)] // the accumulator may lend film: it takes longer to be sure
    [InlineData("intermittent unwind", 100)]
    public void Another_steady_speed_begins_another_era(string witness, double within)
    {
        MachineScript machine = Machine(witness).At(20).For(120);
        int before = machine.Seen.Count;
        Assert.DoesNotContain(machine.Seen, s => s.Estimate.ProductChanged);

        machine.At(28).For(150);

        (double seconds, _) = Assert.Single(machine.Seen.Skip(before), s => s.Estimate.ProductChanged);
        Assert.InRange(seconds - machine.Seen[before].Seconds, 0, within);
    }

    [Fact]
    public void Hunting_of_the_unwind_begins_no_era()
    {
        MachineScript machine = Machine("unwind").At(20).For(60);
        for (int i = 0; i < 6_000; i++)
            machine.At(20 + (8 * Math.Sin(2 * Math.PI * machine.Seconds / 8))).For(0.02);

        Assert.DoesNotContain(machine.Seen, s => s.Estimate.ProductChanged);
    }

    [Fact]
    public void After_a_hole_in_the_readings_a_running_machine_is_settled_anew()
    {
        MachineScript machine = Machine("running").At(20).For(30).Hole(60).For(30);

        Assert.Equal([Regime.Starting, Regime.Running, Regime.Starting, Regime.Running], machine.Sequence);
    }

    [Fact]
    public void Running_that_is_not_read_for_a_moment_holds_and_for_longer_is_inferred()
    {
        MachineScript machine = Machine("running").At(20).For(30);
        machine.With(Signal.Running, double.NaN).For(30);

        Assert.Equal([Regime.Starting, Regime.Running], machine.Sequence);
    }

    [Fact]
    public void A_failed_read_or_one_that_is_not_later_changes_nothing()
    {
        FillSettings settings = new() { GapAtEmpty = 0, GapAtFull = 100 };
        RegimeTracker tracker = new(settings);
        FillScale scale = new(settings);
        Reading running = ReadingMaker.At(5, (Signal.Gap, 50), (Signal.UnwindSpeed, 20), (Signal.Running, 1));
        tracker.Next(running, scale.Next(running));
        Reading old = ReadingMaker.At(4, (Signal.Gap, 50), (Signal.UnwindSpeed, 0), (Signal.Running, 0));
        Reading failed = Reading.Failed(6 * TimeSpan.TicksPerSecond);

        Assert.Equal(Regime.Starting, tracker.Next(old, scale.Next(old)).Regime);
        Assert.Equal(Regime.Starting, tracker.Next(failed, scale.Next(failed)).Regime);
    }

    [Fact]
    public void Nothing_is_allocated_per_reading()
    {
        FillSettings settings = new() { GapAtEmpty = 0, GapAtFull = 100 };
        RegimeTracker tracker = new(settings);
        FillScale scale = new(settings);
        int running = 0;
        double seconds = 0;
        Feed(5_000);
        long allocated = Allocated.Bytes(_ => Feed(5_000));

        Assert.Equal(0, allocated);
        Assert.True(running > 0);

        void Feed(int readings)
        {
            for (int i = 0; i < readings; i++)
            {
                double speed = i % 4_000 < 2_000 ? 20 : 0;
                Reading reading = ReadingMaker.At(
                    seconds += 0.02,
                    (Signal.Gap, 50 + (i % 10)),
                    (Signal.UnwindSpeed, speed)
                );
                running += tracker.Next(reading, scale.Next(reading)).CountsForStatistics ? 1 : 0;
            }
        }
    }

    /// <summary>What pulls took that last half a second each, % of fill.</summary>
    private static double Pulled(double seconds, double percent, double cycleSeconds)
    {
        double cycles = Math.Floor(seconds / cycleSeconds);
        return percent * (cycles + Math.Min(1, (seconds - (cycles * cycleSeconds)) / 0.5));
    }

    private static MachineScript Machine(string witness)
    {
        MachineScript machine = new();
        switch (witness)
        {
            case "running":
                machine[Signal.Running] = 0;
                machine[Signal.LineSpeed] = 0;
                break;
            case "line":
                machine[Signal.LineSpeed] = 0;
                break;
            case "intermittent unwind":
                machine.CyclesPerMinute = 40;
                break;
        }
        return machine;
    }
}
