using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class VirtualDancerTests
{
    public static TheoryData<int> Seeds() => [.. Enumerable.Range(100, 12)];

    [Theory, MemberData(nameof(Seeds))]
    public void A_healthy_machine_runs_half_an_hour_with_stops_and_roll_changes_and_never_trips(int seed)
    {
        MachineParameters machine = MachineParameters.Random(seed);
        VirtualDancer dancer = new(machine, seed);
        for (int minute = 0; minute < 30; minute++)
        {
            dancer.Start();
            dancer.Advance(50);
            Assert.True(dancer.Image.Running);
            if (minute % 5 == 4)
                dancer.Stop();
            dancer.Advance(10);
            dancer.ChangeRollInTime(machine);
            if (minute == 12)
                dancer.Splice();
            if (minute == 20)
                dancer.SetSpeed(0.7 * machine.CyclesPerMinute);
            Assert.False(dancer.IsTripped);
        }
        Assert.InRange(dancer.Truth.FillPercent, 15, 85);
    }

    public static TheoryData<Fault> Faults() => [.. Enum.GetValues<Fault>()];

    [Theory, MemberData(nameof(Faults))]
    public void Film_is_conserved_to_a_micrometer_whatever_happens(Fault fault)
    {
        MachineParameters machine = MachineParameters.Random(7);
        VirtualDancer dancer = new(machine, 7, new FaultSchedule(fault, 30, 200));
        FilmTruth before = dancer.Truth;
        for (int i = 0; i < 12; i++)
        {
            dancer.Start();
            dancer.Advance(25);
            dancer.Stop();
            dancer.Advance(5);
            dancer.ClearTrip();
            dancer.MoveDancerByHand(40);
            dancer.Advance(10);
        }
        FilmTruth after = dancer.Truth;

        Assert.True(after.DrawnMeters > 10);
        Assert.Equal(
            after.UnwoundMeters,
            after.DrawnMeters + after.StoredMeters - before.StoredMeters,
            tolerance: 1e-6
        );
        Assert.Equal(before.RollMeters - after.UnwoundMeters, after.RollMeters, tolerance: 1e-6);
    }

    [Fact]
    public void A_shift_is_stepped_three_hundred_times_faster_than_it_passes()
    {
        VirtualDancer dancer = new(MachineParameters.Random(5), 5);
        dancer.Start();
        dancer.Advance(5);
        TimeSpan fastest = TimeSpan.MaxValue;
        for (int i = 0; i < 5; i++)
        {
            long start = TimeProvider.System.GetTimestamp();
            dancer.Advance(TimeSpan.FromSeconds(30));
            TimeSpan taken = TimeProvider.System.GetElapsedTime(start);
            fastest = taken < fastest ? taken : fastest;
        }

        Assert.InRange(fastest.TotalSeconds, 0, 30.0 / 300);
    }

    [Fact]
    public void A_machine_that_cannot_be_is_refused_with_every_reason()
    {
        MachineParameters machine = new()
        {
            FilmThicknessMicrometers = -50,
            DrawShare = double.NaN,
            GapAtFullCounts = 600,
        };
        string message = Assert.Throws<ArgumentException>(() => new VirtualDancer(machine, 1)).Message;

        Assert.Contains(
            "FilmThicknessMicrometers is -50. Allowed: 5 to 1000.",
            message,
            StringComparison.Ordinal
        );
        Assert.Contains("DrawShare is NaN", message, StringComparison.Ordinal);
        Assert.Contains("at least 10 apart", message, StringComparison.Ordinal);
    }

    [Fact]
    public void Machines_drawn_from_the_trade_stay_in_its_ranges_and_differ()
    {
        MachineParameters[] machines = [.. Enumerable.Range(0, 300).Select(MachineParameters.Random)];

        // Ranges: common practice, no source.
        Assert.All(machines, m => Assert.InRange(m.RollDiameterMillimeters, 250, 450));
        Assert.All(machines, m => Assert.InRange(m.FilmThicknessMicrometers, 30, 90));
        Assert.All(machines, m => Assert.InRange(m.CyclesPerMinute, 30, 120));
        Assert.All(machines, m => Assert.InRange(m.BagLengthMillimeters, 80, 400));
        Assert.All(machines, m => Assert.InRange(m.StorageMillimeters, 500, 2500));
        Assert.All(machines, m => Assert.InRange(m.TargetFillPercent, 40, 60));
        Assert.All(machines, m => Assert.True(m.CycleSwingPercent <= 30));
        Assert.InRange(machines.Count(m => m.GapAtFullCounts > m.GapAtEmptyCounts), 100, 200);
        Assert.InRange(machines.Count(m => double.IsInfinity(m.ResetSeconds)), 100, 200);
        Assert.InRange(machines.Count(m => m.Brake == BrakeKind.Air), 100, 200);
        Assert.Equal(300, machines.Select(m => m.StorageMillimeters).Distinct().Count());
    }

    [Fact]
    public void The_same_seed_gives_the_same_machine_and_the_same_noise()
    {
        VirtualDancer Run()
        {
            VirtualDancer dancer = new(
                MachineParameters.Random(3),
                3,
                new FaultSchedule(Fault.LoopHunting, 5, 60)
            );
            dancer.Start();
            dancer.Advance(120);
            return dancer;
        }

        VirtualDancer first = Run();
        VirtualDancer second = Run();
        Assert.Equal(first.Image, second.Image);
        Assert.Equal(first.Truth, second.Truth);
    }

    [Fact]
    public void Stepping_allocates_nothing()
    {
        VirtualDancer dancer = new(
            MachineParameters.Random(5),
            5,
            [new FaultSchedule(Fault.SensorNoise, 0, 10)]
        );
        dancer.Start();
        dancer.Advance(20);
        long allocated = Allocated.Bytes(_ => dancer.Advance(20));

        Assert.Equal(0, allocated);
    }

    [Fact]
    public void The_controller_sees_nothing_new_between_two_scans()
    {
        VirtualDancer dancer = new(MachineParameters.Random(5), 5);
        dancer.Start();
        dancer.Advance(30);
        ControllerImage scan = dancer.Image;
        dancer.Advance(0.009);
        Assert.Equal(scan, dancer.Image);
        dancer.Advance(0.001);
        Assert.NotEqual(scan, dancer.Image);
    }

    [Fact]
    public void A_running_machine_refuses_hands()
    {
        VirtualDancer dancer = new(new MachineParameters(), 1);
        dancer.Start();
        dancer.Advance(1);

        Assert.Contains(
            "stop it before",
            Assert.Throws<InvalidOperationException>(() => dancer.ChangeRoll(400)).Message,
            StringComparison.Ordinal
        );
        Assert.Throws<InvalidOperationException>(() => dancer.MoveDancerByHand(20));
    }

    [Fact]
    public void A_hand_moves_the_dancer_of_a_standing_machine_and_trips_nothing()
    {
        VirtualDancer dancer = new(new MachineParameters(), 1);
        foreach (double fill in new double[] { 108, -8, 50 })
        {
            dancer.MoveDancerByHand(fill);
            for (int ms = 0; ms < 30_000 && dancer.IsHandled; ms++)
                dancer.Step();
            Assert.False(dancer.IsHandled);
            Assert.Equal(fill, dancer.Truth.FillPercent, tolerance: 2.0);
            Assert.False(dancer.IsTripped);
        }
    }

    [Fact]
    public void An_unbalanced_roll_without_any_brake_stays_where_hands_turn_it()
    {
        VirtualDancer dancer = new(
            new MachineParameters(),
            1,
            new FaultSchedule(Fault.RollEccentricity, StartSeconds: 0, GrowthSeconds: 1, Severity: 1.5),
            new FaultSchedule(Fault.RollOverrun, StartSeconds: 0, GrowthSeconds: 1, Severity: 1.3)
        );
        dancer.Advance(2);
        foreach (double fill in new double[] { 108, -8, 50 })
        {
            dancer.MoveDancerByHand(fill);
            for (int ms = 0; ms < 30_000 && dancer.IsHandled; ms++)
                dancer.Step();
            Assert.False(dancer.IsHandled);
        }
    }

    [Fact]
    public void After_a_trip_the_machine_starts_again_only_once_it_is_cleared()
    {
        VirtualDancer dancer = new(
            new MachineParameters(),
            1,
            [new FaultSchedule(Fault.DriveSaturation, 10, 0)]
        );
        dancer.Start();
        dancer.Advance(300);
        Assert.True(dancer.Image.EmptySideTrip);
        Assert.False(dancer.Image.Running);

        dancer.Start();
        dancer.Advance(5);
        Assert.False(dancer.Image.Running);

        dancer.ClearTrip();
        dancer.Advance(20);
        dancer.Start();
        dancer.Advance(5);
        Assert.True(dancer.Image.Running);
    }

    [Fact]
    public void After_its_roll_has_ended_a_machine_runs_on_with_a_new_one()
    {
        VirtualDancer dancer = new(new MachineParameters(), 1, new FaultSchedule(Fault.RollEnding, 0, 60));
        dancer.Start();
        dancer.Advance(120);
        Assert.True(dancer.Image.EmptySideTrip);
        Assert.Equal(0, dancer.Truth.RollMeters);

        dancer.ChangeRoll(400);
        dancer.ClearTrip();
        dancer.Advance(20);
        dancer.Start();
        dancer.Advance(120);
        Assert.True(dancer.Image.Running);
        Assert.InRange(dancer.Image.RollDiameter, 395, 400);
    }

    [Fact]
    public void What_an_operator_cannot_mean_is_refused_with_the_value()
    {
        VirtualDancer dancer = new(new MachineParameters(), 1);

        Assert.Equal(
            70.0,
            Assert.Throws<ArgumentOutOfRangeException>(() => dancer.ChangeRoll(70)).ActualValue
        );
        Assert.Throws<ArgumentOutOfRangeException>(() => dancer.SetSpeed(double.NaN));
        Assert.Throws<ArgumentOutOfRangeException>(() => dancer.ChangeProduct(2, 0, 60));
    }

    [Fact]
    public void Clearing_what_has_not_tripped_leaves_a_running_machine_alone()
    {
        VirtualDancer dancer = new(new MachineParameters(), 1);
        dancer.Start();
        dancer.Advance(10);
        dancer.ClearTrip();
        dancer.Advance(1);

        Assert.True(dancer.Image.Running);
        Assert.False(dancer.IsHandled);
        Assert.True(dancer.Image.UnwindCommand > 0);
    }

    [Fact]
    public void A_machine_that_stands_for_long_reads_a_speed_of_zero_and_no_remainder_of_one()
    {
        VirtualDancer dancer = new(new MachineParameters { Brake = BrakeKind.Air }, 1);
        dancer.Start();
        dancer.Advance(20);
        dancer.Stop();
        dancer.Advance(30);

        Assert.Equal(0, dancer.Image.UnwindSpeed);
        Assert.Equal(0, dancer.Image.BrakePressure);
        Assert.Equal(0, dancer.Truth.RollTurnHertz);
    }
}
