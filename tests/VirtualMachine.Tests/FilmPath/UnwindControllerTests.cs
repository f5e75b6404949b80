using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class UnwindControllerTests
{
    private static readonly MachineParameters s_machine = new()
    {
        ProportionalGainPerSecond = 0.3,
        GapAtEmptyCounts = 1000,
        GapAtFullCounts = 3000,
    };

    private static UnwindController After(
        MachineParameters machine,
        double fill,
        double line,
        double seconds = 0.01,
        bool off = false
    )
    {
        UnwindController controller = new(machine);
        int gap = (int)(
            machine.GapAtEmptyCounts + (fill / 100 * (machine.GapAtFullCounts - machine.GapAtEmptyCounts))
        );
        for (int i = 0; i < Math.Round(seconds / 0.01); i++)
            controller.Scan(gap, line, off, 0.01, Defects.None(machine));
        return controller;
    }

    // 10 % of 1.2 m are missing: 0.3 of them a second more than the line takes (by hand).
    [Fact]
    public void The_trim_makes_good_its_share_of_the_missing_film_each_second()
    {
        UnwindController controller = After(s_machine, fill: 40, line: 0.2);

        Assert.Equal(40, controller.FillPercent);
        Assert.Equal(0.2 + (0.3 * 0.12), controller.CommandMetersPerSecond, precision: 9);
    }

    // After one reset time the integral has added the proportional part once more (textbook).
    [Fact]
    public void A_PI_trim_doubles_its_part_in_one_reset_time()
    {
        MachineParameters machine = s_machine with { ResetSeconds = 20 };

        Assert.Equal(
            0.2 + (2 * 0.3 * 0.12),
            After(machine, 40, 0.2, seconds: 20).CommandMetersPerSecond,
            tolerance: 1e-4
        );
    }

    [Fact]
    public void The_unwind_stops_at_full_and_runs_fastest_at_empty()
    {
        double fastest = s_machine.MaximumUnwindMetersPerMinute / 60;

        Assert.Equal(0, After(s_machine, 100, 0.3).CommandMetersPerSecond);
        Assert.Equal(fastest, After(s_machine, 0, 0.1).CommandMetersPerSecond, precision: 9);
        Assert.Equal(0, After(s_machine, 0, 0.1, off: true).CommandMetersPerSecond);
    }
}
