using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class SpeedPickupTests
{
    [Fact]
    public void A_roller_sees_an_eccentric_rolls_ripple_and_the_spindle_does_not()
    {
        static double Ripple(SpeedSource source)
        {
            SpeedPickup pickup = new(new MachineParameters { SpeedSource = source }, new Random(1));
            double[] speed = new double[1000];
            for (int i = 0; i < speed.Length; i++)
            {
                pickup.Scan(0.01, 0.2 + (0.02 * Math.Sin(i * 0.01)), 0.2);
                speed[i] = pickup.MetersPerMinute;
            }
            return speed[100..].StandardDeviation();
        }

        // 0.02 m/s of amplitude is 1.2 m/min, 0.85 in standard deviation.
        Assert.Equal(0.85, Ripple(SpeedSource.Roller), tolerance: 0.08);
        Assert.InRange(Ripple(SpeedSource.Spindle), 0.01, 0.05);
    }
}
