using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class VirtualDancerTests
{
    public static TheoryData<int> Seeds() => [.. Enumerable.Range(100, 10)];

    [Theory, MemberData(nameof(Seeds))]
    public void A_healthy_machine_runs_half_an_hour_with_stops_and_never_trips(int seed)
    {
        VirtualDancer dancer = new(TradeRanges.Draw(seed), seed);
        for (int minute = 0; minute < 30; minute++)
        {
            dancer.Start();
            dancer.Advance(50);
            Assert.True(dancer.Image.Running);
            if (minute % 5 == 4)
                dancer.Stop();
            dancer.Advance(10);
            Assert.False(dancer.IsTripped);
        }
        Assert.InRange(dancer.Truth.FillPercent, 15, 85);
    }

    [Theory]
    [InlineData(Fault.FilmSnag)]
    [InlineData(Fault.RollEccentricity)]
    [InlineData(Fault.RollEnding)]
    [InlineData(Fault.SensorNoise)]
    public void Film_is_conserved_to_a_micrometre_whatever_happens(Fault fault)
    {
        VirtualDancer dancer = new(TradeRanges.Draw(7), 7, [new FaultSchedule(fault, 30, 200)]);
        FilmTruth before = dancer.Truth;
        for (int i = 0; i < 20; i++)
        {
            dancer.Start();
            dancer.Advance(25);
            dancer.Stop();
            dancer.Advance(5);
            dancer.ClearTrip();
            dancer.Advance(10);
        }
        FilmTruth after = dancer.Truth;

        Assert.True(after.DrawnMeters > 10);
        double stored = after.StoredMeters - before.StoredMeters + after.LooseMeters;
        Assert.Equal(after.UnwoundMeters, after.DrawnMeters + stored, tolerance: 1e-6);
    }

    [Fact]
    public void The_same_seed_gives_the_same_machine_and_the_same_noise()
    {
        VirtualDancer Run()
        {
            VirtualDancer dancer = new(TradeRanges.Draw(3), 3, [new FaultSchedule(Fault.LoopHunting, 5, 60)]);
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
        VirtualDancer dancer = new(TradeRanges.Draw(5), 5, [new FaultSchedule(Fault.SensorNoise, 0, 10)]);
        dancer.Start();
        dancer.Advance(20);
        long before = GC.GetAllocatedBytesForCurrentThread();
        dancer.Advance(20);

        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    [Fact]
    public void The_controller_sees_nothing_new_between_two_scans()
    {
        VirtualDancer dancer = new(TradeRanges.Draw(5), 5);
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
}
