using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class GapSensorTests
{
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
}
