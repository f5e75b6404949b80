using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class SpindleBrakeTests
{
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
}
