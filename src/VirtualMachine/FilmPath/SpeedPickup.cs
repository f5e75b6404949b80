namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>Where the controller has its unwind speed from.</summary>
public enum SpeedSource
{
    /// <summary>An encoder on a roller the film runs over: sees an eccentric roll's ripple.</summary>
    Roller,

    /// <summary>Spindle speed times the roll's radius: blind to ripple within a turn.</summary>
    Spindle,
}

/// <summary>Unwind speed as the controller has it: smoothed over a few scans, off by its calibration, with a little noise.</summary>
internal sealed class SpeedPickup(MachineParameters machine, Random random)
{
    private const double SmoothingSeconds = 0.05;

    // Noise of one scan's value as a share of top speed.
    private const double NoiseShare = 0.001;

    private double _smoothed;

    /// <summary>m/min, never below 0.</summary>
    public double MetersPerMinute { get; private set; }

    /// <param name="scanSeconds">Since the scan before.</param>
    /// <param name="filmMetersPerSecond">Mean film speed off the roll since the scan before; negative when wound back by hand.</param>
    /// <param name="spindleMetersPerSecond">Spindle speed times mean radius.</param>
    public void Scan(double scanSeconds, double filmMetersPerSecond, double spindleMetersPerSecond)
    {
        double speed =
            machine.SpeedSource == SpeedSource.Roller ? filmMetersPerSecond : spindleMetersPerSecond;
        _smoothed = Lag.Step(_smoothed, speed, scanSeconds, SmoothingSeconds);
        // A standing roller gives no pulses, hence no noise.
        double noise =
            Math.Abs(_smoothed) < 1e-4
                ? 0
                : random.NextNormal() * NoiseShare * machine.MaximumUnwindMetersPerMinute;
        MetersPerMinute = Math.Max(0, (_smoothed * 60 * machine.SpeedCalibration) + noise);
    }
}
