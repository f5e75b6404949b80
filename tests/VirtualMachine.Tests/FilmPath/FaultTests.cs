using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

/// <summary>Each fault, switched on in machines drawn from the trade's ranges, trips most of them on its side, and weakly few.</summary>
public sealed class FaultTests
{
    private const int Machines = 6;

    public static TheoryData<Fault, string> Sides() =>
        new()
        {
            { Fault.LoopHunting, "either" },
            { Fault.RollEccentricity, "either" },
            { Fault.CycleSwing, "either" },
            { Fault.BrakeDrag, "empty" },
            { Fault.RollOverrun, "full" },
            { Fault.SensorDrift, "empty" },
            { Fault.SensorNoise, "small gap" },
            { Fault.SensorStuck, "either" },
            { Fault.DriveSaturation, "empty" },
            { Fault.RollEnding, "empty" },
            { Fault.FilmSnag, "empty" },
            { Fault.SetpointError, "full" },
        };

    [Theory, MemberData(nameof(Sides))]
    public void A_grown_fault_trips_a_good_share_of_machines_on_its_side(Fault fault, string side)
    {
        int trips = 0;
        for (int seed = 0; seed < Machines; seed++)
        {
            MachineParameters machine = TradeRanges.Draw(seed);
            VirtualDancer dancer = new(machine, seed, [new FaultSchedule(fault, 60, 300)]);
            if (!RunsIntoTrip(dancer))
                continue;
            trips++;
            bool smallGapIsFull = machine.GapAtFullCounts < machine.GapAtEmptyCounts;
            bool? full = side switch
            {
                "full" => true,
                "empty" => false,
                "small gap" => smallGapIsFull,
                _ => null,
            };
            Assert.True(full is null || dancer.Image.FullSideTrip == full, $"{fault}, machine {seed}");
            Assert.True(dancer.TimeSeconds > 60);
        }
        Assert.InRange(trips, Machines / 3, Machines);
    }

    [Theory, MemberData(nameof(Sides))]
    public void A_slight_fault_trips_few(Fault fault, string side)
    {
        Assert.NotNull(side);
        if (fault == Fault.RollEnding)
            return; // a roll ends or it does not
        int trips = Enumerable
            .Range(0, Machines)
            .Count(seed =>
                RunsIntoTrip(
                    new VirtualDancer(TradeRanges.Draw(seed), seed, [new FaultSchedule(fault, 60, 300, 0.2)])
                )
            );

        Assert.InRange(trips, 0, 1);
    }

    // Running, with a stop of ten seconds every minute and a half, so that what shows at stops can show.
    private static bool RunsIntoTrip(VirtualDancer dancer)
    {
        for (int second = 0; second < 540 && !dancer.IsTripped; second++)
        {
            if (second % 90 == 0)
                dancer.Start();
            if (second % 90 == 80)
                dancer.Stop();
            dancer.Advance(1);
        }
        return dancer.IsTripped;
    }

    [Fact]
    public void An_eccentric_roll_moves_the_dancer_once_per_turn()
    {
        MachineParameters machine = new()
        {
            EccentricityMillimeters = 8,
            GapNoiseCounts = 0,
            DrawShare = 0.65,
        };
        VirtualDancer dancer = new(machine, 1);
        dancer.Start();
        dancer.Advance(60);

        // v / (pi D): textbook kinematics.
        double expected =
            machine.LineMetersPerMinute / 60 / (Math.PI * dancer.Truth.RollDiameterMillimeters / 1000);
        Assert.Equal(expected, StrongestBelow(dancer, 0.5), tolerance: 0.02 * expected);
    }

    // A plain scan of a discrete Fourier sum, far below the cycle's own rate.
    private static double StrongestBelow(VirtualDancer dancer, double highestHertz)
    {
        const int Samples = 4000;
        const double Interval = 0.05;
        double[] fill = new double[Samples];
        for (int i = 0; i < Samples; i++)
        {
            dancer.Advance(Interval);
            fill[i] = dancer.Truth.FillPercent;
        }
        double mean = fill.Average();
        double Power(double hertz)
        {
            (double re, double im) = (0, 0);
            for (int i = 0; i < Samples; i++)
            {
                (double sine, double cosine) = Math.SinCos(2 * Math.PI * hertz * i * Interval);
                re += (fill[i] - mean) * cosine;
                im += (fill[i] - mean) * sine;
            }
            return (re * re) + (im * im);
        }
        return Enumerable.Range(10, 400).Select(i => i * highestHertz / 410).MaxBy(Power);
    }
}
