using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Tests.Oscillation;

/// <summary>
/// A film path in a few lines, 1 ms a step: store = in - out; draw in jerks; unwind with delay, lag and a clamp, under P
/// control. Textbook loop: store 1/s, drive e^-sd / (1 + s lag); it hunts once the gain passes the limit at which the
/// phase of delay and lag reaches 90 degrees.
/// </summary>
internal sealed class SmallFilmPath(int seed)
{
    private const double Step = 0.001;
    private readonly Random _random = new(seed);
    private readonly double[] _delayed = new double[2000];
    private double _speed = 0.2;
    private double _cyclePhase;
    private double _turnPhase;
    private double _thisCycleHz = double.NaN;
    private long _steps;

    public double StorageMeters { get; init; } = 1;
    public double CycleHz { get; init; } = 1;

    /// <summary>Standard deviation of a cycle's own rate, as a share.</summary>
    public double CycleJitter { get; init; }
    public double MeanDrawMetersPerSecond { get; init; } = 0.2;

    /// <summary>Share of the cycle in which film is drawn, over time, s.</summary>
    public Func<double, double> DrawShare { get; init; } = _ => 0.5;
    public double LagSeconds { get; init; } = 0.3;
    public double DelaySeconds { get; init; } = 0.1;

    /// <summary>Gain over time, 1/s: m/s of unwind speed a metre of film too little in the store.</summary>
    public Func<double, double> Gain { get; init; } = _ => 0.8;

    /// <summary>Out-of-roundness of the roll, as a share of speed, over time, s.</summary>
    public Func<double, double> OutOfRound { get; init; } = _ => 0;
    public double TurnHz { get; init; } = 0.37;
    public bool SpeedTagSeesTheRoll { get; init; }
    public double NoisePercent { get; init; } = 0.1;
    public double StoredMeters { get; private set; } = 0.5;
    public double Seconds => _steps * Step;

    /// <summary>Feeds a detector at 50 Hz with jitter of 3 ms and 1 % lost reads.</summary>
    public OscillationEstimate Feed(
        OscillationDetector detector,
        double toSeconds,
        double cycleHz,
        double turnHz,
        Action<OscillationEstimate>? each = null
    )
    {
        OscillationEstimate last = default;
        while (Seconds < toSeconds)
        {
            int steps = Math.Clamp(20 + (int)Math.Round(3 * Gaussian()), 5, 35);
            for (int i = 0; i < steps; i++)
                Advance();
            if (_random.NextDouble() < 0.01)
                continue;
            double seen = SpeedTagSeesTheRoll ? _speed * Wobble() : _speed;
            // 12-bit gap over 120 % of fill.
            double fill = 100 * StoredMeters / StorageMeters + NoisePercent * Gaussian();
            fill = Math.Round(fill / 0.03) * 0.03;
            last = detector.Next(Seconds, fill, 60 * seen, cycleHz, turnHz);
            each?.Invoke(last);
        }
        return last;
    }

    private void Advance()
    {
        double now = Seconds;
        double command = MeanDrawMetersPerSecond + Gain(now) * (0.5 * StorageMeters - StoredMeters);
        command = Math.Clamp(command, 0, 3 * MeanDrawMetersPerSecond);
        int delay = (int)(DelaySeconds / Step);
        _delayed[_steps % _delayed.Length] = command;
        double due = _steps < delay ? command : _delayed[(_steps - delay) % _delayed.Length];
        _speed += (due - _speed) * Step / LagSeconds;
        double share = DrawShare(now);
        double draw = _cyclePhase < share ? MeanDrawMetersPerSecond / share : 0;
        StoredMeters += Step * (_speed * Wobble() - draw);
        if (double.IsNaN(_thisCycleHz) || _cyclePhase + Step * _thisCycleHz >= 1)
            _thisCycleHz = CycleHz * (1 + CycleJitter * Gaussian());
        _cyclePhase = (_cyclePhase + Step * _thisCycleHz) % 1;
        _turnPhase = (_turnPhase + Step * TurnHz) % 1;
        _steps++;
    }

    private double Wobble() => 1 + OutOfRound(Seconds) * Math.Cos(2 * Math.PI * _turnPhase);

    private double Gaussian() =>
        Math.Sqrt(-2 * Math.Log(1 - _random.NextDouble())) * Math.Cos(2 * Math.PI * _random.NextDouble());
}
