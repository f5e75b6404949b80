using Dancerwatch.VirtualMachine.Faults;

namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// The analog sensor and the cam it looks at: dancer position to counts of a 12-bit input, by a straight line, a bowed cam,
/// noise, rounding and the input's range.
/// </summary>
internal sealed class GapSensor(MachineParameters machine, Random random)
{
    public const int LargestCounts = 4095;

    private double _held = double.NaN;
    private double _touchSecondsLeft;

    /// <summary>Sampled once a scan.</summary>
    public int Sample(double dancerPercent, double scanSeconds, in Wear worn)
    {
        double along = Math.Clamp(dancerPercent / 100, 0, 1);
        double straight = dancerPercent + (machine.CamBowPercent * 4 * along * (1 - along));
        double span = machine.GapAtFullCounts - machine.GapAtEmptyCounts;
        double counts = machine.GapAtEmptyCounts + (span * (straight + worn.GapDriftPercent) / 100);
        counts += Gaussian() * machine.GapNoiseCounts * (1 + worn.NoiseFactor);

        if (worn.TouchesPerSecond > 0)
            counts = Touch(counts, scanSeconds, worn);
        if (worn.GapStuck)
            counts = _held = double.IsNaN(_held) ? counts : _held;
        else
            _held = double.NaN;
        return (int)Math.Round(Math.Clamp(counts, 0, LargestCounts));
    }

    // The face meets the cam: the gap reads nothing, for longer and longer as it wears.
    private double Touch(double counts, double scanSeconds, in Wear worn)
    {
        if (_touchSecondsLeft > 0)
        {
            _touchSecondsLeft -= scanSeconds;
            return 0;
        }
        if (random.NextDouble() < worn.TouchesPerSecond * scanSeconds)
            _touchSecondsLeft = worn.TouchSeconds * (0.5 + random.NextDouble());
        return counts;
    }

    // Marsaglia's polar method; the second value is thrown away for simplicity.
    private double Gaussian()
    {
        while (true)
        {
            double u = (2 * random.NextDouble()) - 1;
            double v = (2 * random.NextDouble()) - 1;
            double s = (u * u) + (v * v);
            if (s is > 0 and < 1)
                return u * Math.Sqrt(-2 * Math.Log(s) / s);
        }
    }
}
