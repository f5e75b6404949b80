using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Tests.Oscillation;

/// <summary>Readings made from formulas and a seed: a tone in noise, at uneven times, with lost reads.</summary>
internal sealed class SyntheticFill(int seed)
{
    private readonly Random _random = new(seed);
    private double _noise;

    public double PollSeconds { get; init; } = 0.02;

    /// <summary>Standard deviation of a reading's own delay, s. Delays do not add up.</summary>
    public double JitterSeconds { get; init; } = 0.003;
    public double LostShare { get; init; } = 0.02;
    public double NoiseSd { get; init; } = 0.5;

    /// <summary>Phi of AR(1) noise at the poll rate; 0 is white.</summary>
    public double Phi { get; init; }
    public double CycleHz { get; init; } = double.NaN;
    public double TurnHz { get; init; } = double.NaN;

    /// <summary>Fill without noise, %, over time, s.</summary>
    public Func<double, double> Fill { get; init; } = _ => 50;

    /// <summary>Unwind speed, m/min, over time, s.</summary>
    public Func<double, double> Speed { get; init; } = _ => 12;

    public double Gaussian()
    {
        double u = 1 - _random.NextDouble();
        return Math.Sqrt(-2 * Math.Log(u)) * Math.Cos(2 * Math.PI * _random.NextDouble());
    }

    public double Uniform() => _random.NextDouble();

    /// <summary>Feeds readings of a stretch of time and returns the last estimate.</summary>
    public OscillationEstimate Feed(OscillationDetector detector, double fromSeconds, double toSeconds)
    {
        OscillationEstimate last = default;
        double drive = Math.Sqrt(1 - Phi * Phi);
        long first = (long)Math.Ceiling(fromSeconds / PollSeconds);
        long end = (long)Math.Ceiling(toSeconds / PollSeconds);
        for (long i = first; i < end; i++)
        {
            _noise = Phi * _noise + drive * Gaussian();
            if (_random.NextDouble() < LostShare)
                continue;
            double late = Math.Clamp(JitterSeconds * Gaussian(), -0.45 * PollSeconds, 0.45 * PollSeconds);
            double t = i * PollSeconds + late;
            last = detector.Next(t, Fill(t) + NoiseSd * _noise, Speed(t), CycleHz, TurnHz);
        }
        return last;
    }

    /// <summary>A sine about 50 %.</summary>
    public static Func<double, double> Sine(double hz, double amplitude, double phase = 0) =>
        t => 50 + amplitude * Math.Sin(2 * Math.PI * hz * t + phase);
}
