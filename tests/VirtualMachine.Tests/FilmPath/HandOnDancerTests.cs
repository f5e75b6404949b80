using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class HandOnDancerTests
{
    private static readonly MachineParameters s_machine = new() { GapNoiseCounts = 0 };

    [Theory, InlineData(100), InlineData(0), InlineData(-15), InlineData(115)]
    public void It_brings_the_dancer_to_its_place_and_holds_it_there(double place)
    {
        VirtualDancer machine = Held(s_machine, place);

        for (int i = 0; i < 100; i++)
        {
            machine.Advance(0.1);
            Assert.InRange(machine.Truth.FillPercent, place - 0.2, place + 0.2);
        }
        Assert.True(machine.IsHeld);
        Assert.False(machine.IsTripped);
    }

    [Theory, InlineData(SpeedSource.Roller), InlineData(SpeedSource.Spindle)]
    public void Film_it_takes_off_the_roll_is_metered_and_conserved(SpeedSource source)
    {
        VirtualDancer machine = Held(s_machine with { SpeedSource = source }, 0);
        double unwound = machine.Truth.UnwoundMeters;
        double metered = 0;
        machine.HoldDancer(100);
        while (!machine.IsHeld)
        {
            machine.Advance(0.01);
            metered += machine.Image.UnwindSpeed / 60 * 0.01;
        }
        machine.Advance(1);

        Assert.Equal(1.2, machine.Truth.UnwoundMeters - unwound, 0.005);
        Assert.Equal(1.2, metered, 0.015);
    }

    [Fact]
    public void Neither_unwind_nor_pull_moves_while_it_holds()
    {
        VirtualDancer machine = Held(s_machine, 10);

        machine.Start();
        machine.Advance(5);

        Assert.False(machine.Image.Running);
        Assert.Equal(0, machine.Image.UnwindCommand);
        Assert.Equal(0, machine.Truth.DrawnMeters);
    }

    [Fact]
    public void Once_it_lets_go_the_unwind_brings_the_dancer_to_its_target()
    {
        VirtualDancer machine = Held(s_machine, 10);

        machine.LetGo();
        machine.Advance(30);

        Assert.InRange(machine.Truth.FillPercent, 40, 55);
    }

    [Fact]
    public void A_running_machine_is_not_taken_hold_of()
    {
        VirtualDancer machine = new(s_machine, 1);
        machine.Start();
        machine.Advance(5);

        Assert.Throws<InvalidOperationException>(() => machine.HoldDancer(100));
    }

    [Fact]
    public void Play_lets_the_cam_read_late_by_half_of_it_either_way()
    {
        MachineParameters machine = s_machine with { CamPlayPercent = 2 };
        VirtualDancer dancer = Held(machine, 0);
        dancer.HoldDancer(50);
        dancer.Advance(30);
        double below = dancer.Image.GapCounts;
        dancer.HoldDancer(100);
        dancer.Advance(30);
        dancer.HoldDancer(50);
        dancer.Advance(30);

        // 2 % of 2,900 counts.
        Assert.InRange(dancer.Image.GapCounts - below, 54, 59);
    }

    [Theory, InlineData(BrakeKind.SpringLinked), InlineData(BrakeKind.Air)]
    public void A_brake_on_the_wrong_side_bears_near_empty_and_not_near_full(BrakeKind brake)
    {
        MachineParameters machine = s_machine with { Brake = brake, BrakeOnWrongSide = true };

        Assert.True(Held(machine, 0).Image.BrakeOn);
        Assert.False(Held(machine, 100).Image.BrakeOn);
        Assert.False(Held(machine with { BrakeOnWrongSide = false }, 0).Image.BrakeOn);
        Assert.True(Held(machine with { BrakeOnWrongSide = false }, 100).Image.BrakeOn);
    }

    [Fact]
    public void Set_points_taught_the_wrong_way_round_are_what_the_controller_has_and_change_no_gap()
    {
        MachineParameters machine = s_machine with
        {
            TaughtGapAtFullCounts = s_machine.GapAtEmptyCounts,
            TaughtGapAtEmptyCounts = s_machine.GapAtFullCounts,
        };

        ControllerImage image = Held(machine, 100).Image;

        Assert.Equal((600, 3500), (image.GapAtFull, image.GapAtEmpty));
        Assert.InRange(image.GapCounts, 3490, 3510);
    }

    private static VirtualDancer Held(MachineParameters machine, double place)
    {
        VirtualDancer dancer = new(machine, 1);
        dancer.HoldDancer(place);
        for (int i = 0; i < 400 && !dancer.IsHeld; i++)
            dancer.Advance(0.1);
        dancer.Advance(2);
        return dancer;
    }
}
