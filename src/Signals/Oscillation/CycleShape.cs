using System.Numerics;

namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// The mean course of fill over one machine cycle: readings folded at the cycle's rate into phase bins (epoch folding,
/// as pulsars are: Leahy et al. 1983). Each bin keeps the mean phase and mean value of its readings; between bins the
/// course is a straight line.
/// </summary>
/// <param name="capacity">Most readings that are folded.</param>
internal sealed class CycleShape(int capacity)
{
    private const int Bins = 32;

    /// <summary>cos(pi i / Bins): the angle of half a bin, i times.</summary>
    private static readonly double[] HalfBinCosines =
    [
        .. Enumerable.Range(0, 2 * Bins).Select(i => Math.Cos(Math.PI * i / Bins)),
    ];

    private readonly double[] _phase = new double[Bins];
    private readonly double[] _value = new double[Bins];
    private readonly int[] _count = new int[Bins];
    private readonly double[] _phaseOf = new double[capacity]; // of each reading folded last, in bins

    /// <summary>The rate folded at, Hz; NaN where no cycle is known.</summary>
    public double FrequencyHz { get; private set; } = double.NaN;

    public bool IsKnown => double.IsFinite(FrequencyHz);

    /// <summary>Peak to peak of the mean course; NaN where no cycle is known.</summary>
    public double Swing { get; private set; } = double.NaN;

    /// <summary>No cycle is known.</summary>
    public void Forget() => FrequencyHz = Swing = double.NaN;

    /// <summary>Folds readings, of which <see cref="Subtract"/> then takes the course; false, and nothing known, where more than three quarters of the bins stay empty.</summary>
    public bool Fold(ReadOnlySpan<double> seconds, ReadOnlySpan<double> values, double cycleHz)
    {
        FrequencyHz = cycleHz;
        Array.Clear(_phase);
        Array.Clear(_value);
        Array.Clear(_count);
        SetPhases(seconds);
        ReadOnlySpan<double> phases = _phaseOf.AsSpan(0, seconds.Length);
        double mean = 0;
        for (int i = 0; i < phases.Length; i++)
        {
            double phase = phases[i];
            int bin = Math.Min((int)phase, Bins - 1);
            _phase[bin] += phase;
            _value[bin] += values[i];
            _count[bin]++;
            mean += values[i];
        }
        mean /= seconds.Length;
        int filled = 0;
        double lowest = double.PositiveInfinity;
        double highest = double.NegativeInfinity;
        for (int bin = 0; bin < Bins; bin++)
        {
            if (_count[bin] == 0)
                continue;
            filled++;
            _phase[bin] /= _count[bin];
            _value[bin] = _value[bin] / _count[bin] - mean;
            lowest = Math.Min(lowest, _value[bin]);
            highest = Math.Max(highest, _value[bin]);
        }
        if (filled < Bins / 4)
        {
            Forget();
            return false;
        }
        BridgeEmptyBins();
        Swing = highest - lowest;
        return true;
    }

    /// <summary>The strongest of the course's first four harmonics: which, and its zero-to-peak amplitude.</summary>
    public (int Multiple, double Amplitude) StrongestHarmonic()
    {
        (int Multiple, double Amplitude) strongest = (0, 0);
        for (int multiple = 1; multiple <= 4; multiple++)
        {
            double re = 0;
            double im = 0;
            for (int bin = 0; bin < Bins; bin++)
            {
                int angle = (2 * bin + 1) * multiple % (2 * Bins);
                re += _value[bin] * HalfBinCosines[angle];
                im += _value[bin] * HalfBinCosines[(angle + Bins / 2) % (2 * Bins)];
            }
            double amplitude = 2.0 / Bins * Math.Sqrt(re * re + im * im);
            if (amplitude > strongest.Amplitude)
                strongest = (multiple, amplitude);
        }
        return strongest;
    }

    /// <summary>into = values less the mean course, at the times folded last.</summary>
    public void Subtract(ReadOnlySpan<double> values, Span<double> into)
    {
        Span<double> phases = stackalloc double[Bins + 2];
        Span<double> course = stackalloc double[Bins + 2];
        Unroll(_phase, phases, turn: Bins);
        Unroll(_value, course, turn: 0);
        ReadOnlySpan<double> phaseOf = _phaseOf.AsSpan(0, values.Length);
        for (int i = 0; i < phaseOf.Length; i++)
        {
            double phase = phaseOf[i];
            int left = Math.Min((int)phase, Bins - 1);
            left += phase > phases[left + 1] ? 1 : 0; // no jump: it would be guessed wrong every other time
            double share = (phase - phases[left]) / (phases[left + 1] - phases[left]);
            into[i] = values[i] - double.Lerp(course[left], course[left + 1], share);
        }
    }

    /// <summary>The bins with the last before them and the first after them.</summary>
    private static void Unroll(double[] bins, Span<double> into, double turn)
    {
        into[0] = bins[^1] - turn;
        bins.CopyTo(into[1..]);
        into[^1] = bins[0] + turn;
    }

    private void SetPhases(ReadOnlySpan<double> seconds)
    {
        Span<double> phases = _phaseOf.AsSpan(0, seconds.Length);
        int i = 0;
        for (int width = Vector<double>.Count; i <= phases.Length - width; i += width)
        {
            (Bins * Rotation.Rest(new Vector<double>(seconds[i..]) * FrequencyHz)).CopyTo(phases[i..]);
        }
        for (; i < phases.Length; i++)
        {
            double cycles = seconds[i] * FrequencyHz;
            phases[i] = Bins * (cycles - Math.Floor(cycles));
        }
    }

    private void BridgeEmptyBins()
    {
        for (int bin = 0; bin < Bins; bin++)
        {
            if (_count[bin] > 0)
                continue;
            int left = bin;
            int right = bin;
            do left--;
            while (_count[(left + Bins) % Bins] == 0);
            do right++;
            while (_count[right % Bins] == 0);
            _phase[bin] = bin + 0.5;
            double share = (bin - left) / (double)(right - left);
            _value[bin] = double.Lerp(_value[(left + Bins) % Bins], _value[right % Bins], share);
        }
    }
}
