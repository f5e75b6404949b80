using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

/// <summary>Each fault, in machines drawn from the trade's ranges, trips on its side if grown, and seldom if slight.</summary>
public sealed class FaultTests
{
    private const int Machines = 8;

    public static TheoryData<Fault, string, int> Trips() =>
        new()
        {
            { Fault.LoopHunting, "either", 5 },
            { Fault.RollEccentricity, "empty", 6 },
            { Fault.CycleSwing, "empty", 8 },
            { Fault.BrakeDrag, "empty", 8 },
            { Fault.RollOverrun, "full", 2 },
            { Fault.SensorDrift, "empty", 8 },
            { Fault.SensorNoise, "small gap", 8 },
            { Fault.SensorStuck, "large gap is blind", 5 },
            { Fault.DriveSaturation, "empty", 6 },
            { Fault.RollEnding, "empty", 8 },
            { Fault.FilmSnag, "empty", 8 },
            { Fault.SetpointError, "large gap is blind", 5 },
        };

    [Theory, MemberData(nameof(Trips))]
    public void A_grown_fault_trips_on_its_side(Fault fault, string side, int atLeast)
    {
        int trips = 0;
        for (int seed = 0; seed < Machines; seed++)
        {
            MachineParameters machine = MachineParameters.Random(seed);
            VirtualDancer dancer = new(machine, seed, new FaultSchedule(fault, 60, 300));
            if (!dancer.RunsIntoTrip(900))
                continue;
            trips++;
            bool growsWithFill = machine.GapAtFullCounts > machine.GapAtEmptyCounts;
            bool? full = side switch
            {
                "full" => true,
                "empty" => false,
                "small gap" => !growsWithFill,
                "large gap is blind" => growsWithFill,
                _ => null,
            };
            Assert.True(full is null || dancer.Image.FullSideTrip == full, $"{fault}, machine {seed}");
            Assert.True(dancer.TimeSeconds > 60);
        }
        Assert.InRange(trips, atLeast, Machines);
    }

    // A roll ends or it does not: RollEnding has no slight form.
    public static TheoryData<Fault> Growing() => [.. Enum.GetValues<Fault>().Except([Fault.RollEnding])];

    [Theory, MemberData(nameof(Growing))]
    public void A_slight_fault_trips_few(Fault fault)
    {
        int trips = Enumerable
            .Range(0, Machines)
            .Count(seed =>
                new VirtualDancer(
                    MachineParameters.Random(seed),
                    seed,
                    new FaultSchedule(fault, 60, 300, 0.2)
                ).RunsIntoTrip(600)
            );

        Assert.InRange(trips, 0, 1);
    }

    [Fact]
    public void A_fault_grows_in_a_straight_line_and_stays()
    {
        FaultSchedule growing = new(Fault.BrakeDrag, 100, 50, 0.8);
        FaultSchedule sudden = new(Fault.BrakeDrag, 100, 0, 0.8);

        Assert.Equal(0, growing.At(99.9));
        Assert.Equal(0.4, growing.At(125), precision: 12);
        Assert.Equal(0.8, growing.At(1e6));
        Assert.Equal(0, sudden.At(99.9));
        Assert.Equal(0.8, sudden.At(100));
    }
}
