namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>A first-order lag, dx/dt = (target - x) / T, that arrives.</summary>
internal static class Lag
{
    // An exponential never arrives; left alone it becomes a subnormal number, which processors add slowly.
    private const double Arrived = 1e-9;

    /// <summary>One implicit step: stable for any step and lag.</summary>
    /// <param name="value">x.</param>
    /// <param name="target">Where it tends to, in the same unit.</param>
    /// <param name="seconds">Length of the step.</param>
    /// <param name="lagSeconds">T; 0 arrives at once.</param>
    public static double Step(double value, double target, double seconds, double lagSeconds)
    {
        double next = value + ((target - value) * seconds / (lagSeconds + seconds));
        return Math.Abs(target - next) < Arrived ? target : next;
    }
}
