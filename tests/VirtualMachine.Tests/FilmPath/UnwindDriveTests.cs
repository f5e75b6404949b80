using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class UnwindDriveTests
{
    private static readonly MachineParameters s_machine = new()
    {
        UnwindSlewMetersPerMinutePerSecond = 10_000,
        BearingDragNewtonMeters = 0,
        DriveLagSeconds = 0.5,
        DriveSlipPercent = 0.5,
    };

    private static Roll NewRoll() => new(350, 76, 50, 350, 920);

    private static double SpeedAfter(
        MachineParameters machine,
        double seconds,
        double drag = 0,
        double command = 0.2
    )
    {
        UnwindDrive drive = new(machine);
        Roll roll = NewRoll();
        Defects none = Defects.None(machine);
        for (int i = 0; i < seconds * 1000; i++)
            drive.Step(0.001, command, roll, drag, none);
        return drive.RadiansPerSecond * roll.DiameterMeters / 2;
    }

    // First-order lag: 1 - 1/e after one time constant, 1 - 1/e^3 after three (textbook).
    [Theory]
    [InlineData(0.5, 0.6321)]
    [InlineData(1.5, 0.9502)]
    public void A_step_of_command_is_followed_with_the_drives_lag(double seconds, double share)
    {
        Assert.Equal(share, SpeedAfter(s_machine, seconds) / 0.2, tolerance: 0.015);
    }

    [Fact]
    public void A_command_is_approached_no_faster_than_the_slew_allows()
    {
        MachineParameters machine = s_machine with
        {
            UnwindSlewMetersPerMinutePerSecond = 6,
            DriveLagSeconds = 0.001,
        };

        Assert.Equal(0.1, SpeedAfter(machine, 1, command: 0.5), tolerance: 0.002);
    }

    // Slip is proportional to torque: at half the torque, half of 5 % of the fastest spindle speed is missing.
    [Fact]
    public void Drag_costs_speed_in_proportion_to_torque()
    {
        MachineParameters machine = s_machine with { DriveSlipPercent = 5 };
        double fastest = 25.0 / 60 / 0.038;
        double lost = 0.5 * 0.05 * fastest * 0.175;

        Assert.Equal(0.2 - lost, SpeedAfter(machine, 10, drag: 6), tolerance: 1e-4);
    }

    [Fact]
    public void Drag_beyond_the_drives_torque_stops_the_roll_and_never_turns_it_back()
    {
        Assert.Equal(0, SpeedAfter(s_machine, 10, drag: 12.1));
        Assert.True(SpeedAfter(s_machine, 10, drag: 11.9) > 0.15);
    }

    // Angular momentum: a coasting roll stops after J w / T (Newton).
    [Fact]
    public void Without_hold_a_roll_coasts_until_its_drag_has_used_its_momentum()
    {
        MachineParameters machine = s_machine with { BearingDragNewtonMeters = 0.15 };
        UnwindDrive drive = new(machine);
        Roll roll = NewRoll();
        Defects lost = Defects.None(machine);
        lost.HoldingLossShare = 1;
        for (int i = 0; i < 10_000; i++)
            drive.Step(0.001, 0.2, roll, 0, lost);
        double expected = roll.InertiaKilogramSquareMeters * drive.RadiansPerSecond / 0.15;
        double coasted = 0;
        while (drive.RadiansPerSecond > 0 && coasted < 60)
        {
            drive.Step(0.001, 0, roll, 0, lost);
            coasted += 0.001;
        }

        // The motor pushes a little on while its reference dies out.
        Assert.InRange(coasted, expected, expected + 1.5);
    }

    [Fact]
    public void On_a_bare_core_the_drive_stays_steady()
    {
        UnwindDrive drive = new(s_machine);
        Roll roll = NewRoll();
        roll.SetLength(1);
        Defects none = Defects.None(s_machine);
        for (int i = 0; i < 5000; i++)
            drive.Step(0.001, 0.2, roll, 0, none);

        Assert.Equal(0.2, drive.RadiansPerSecond * roll.DiameterMeters / 2, tolerance: 1e-4);
    }

    [Fact]
    public void A_standing_roll_does_not_creep_to_its_heavy_side()
    {
        UnwindDrive drive = new(s_machine);
        Roll roll = NewRoll();
        Defects heavy = Defects.None(s_machine);
        heavy.EccentricityMeters = 0.003;
        roll.Turn(Math.PI / 2, 0);
        for (int i = 0; i < 10_000; i++)
            drive.Step(0.001, 0, roll, 0, heavy);

        Assert.True(roll.MassKilograms * 9.81 * 0.003 > 0.5); // N m that pull it round
        Assert.Equal(0, drive.RadiansPerSecond);
    }
}
