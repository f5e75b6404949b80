using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// How fast fill moves, from two sides that know nothing of each other: the gap itself, a cycle apart, and the film
/// balance, unwind less draw over storage. O(1) a reading.
/// </summary>
/// <remarks>
/// Same phase: over a whole cycle T the swing cancels, and the derivative of the cycle mean is (f(t) - f(t - T)) / T.
/// Balance: d(fill)/dt = 100 (v_in - v_out) / storage, where the line speed v_out is known. Where it is not there is no
/// balance: a draw taken from the past would call every stop a fall.
/// </remarks>
internal sealed class FilmFlow
{
    /// <summary>Readings are averaged over this time before they are compared, s.</summary>
    private const double SmoothSeconds = 0.1;

    /// <summary>How far back the unwind's own mean is looked at, s.</summary>
    private const double LookBackSeconds = 16;

    /// <summary>A drop is judged by the mean of this time, s.</summary>
    private const double DropSeconds = 0.3;

    /// <summary>What changed so lately no unwind can have followed, s.</summary>
    private const double LatelySeconds = 0.5;

    /// <summary>A line whose speed has changed by more than this share within a cycle is at another place in its cycle than a cycle ago.</summary>
    private const double SamePhaseShare = 0.03;

    private const double MillimetersPerSecond = 1000.0 / 60; // of one m/min

    private readonly FilmSums _sums;
    private readonly double _percentPerMeterPerMinute;
    private double _cyclesPerMinute = double.NaN;
    private double _cycle = FilmBlocks.LengthSeconds(double.NaN);
    private int _smoothPlace; // where the moments looked up at each reading were found
    private int _cyclePlace;
    private int _beforePlace;
    private FilmSum _presently; // means of the last moments
    private double _line; // last read, m/min; 0 before

    public FilmFlow(double storageMillimeters, double pollSeconds)
    {
        _sums = new FilmSums(32 + (int)Math.Min(16_384, 1.25 * LookBackSeconds / pollSeconds));
        _percentPerMeterPerMinute = 100 * MillimetersPerSecond / storageMillimeters;
        Reset();
    }

    /// <summary>Mean fill over the last whole cycles, %; NaN until they were seen.</summary>
    public double CycleMean { get; private set; }

    /// <summary>Rate of the cycle mean by the gap, %/s; NaN where unknown, and while the line's speed changes: there is no same phase then.</summary>
    public double GapRate { get; private set; }

    /// <summary>Rate of fill by the film balance, %/s; NaN where storage or line speed are unknown.</summary>
    public double BalanceRate { get; private set; }

    /// <summary>What the unwind gives now, as rate of fill, %/s: fill cannot rise faster, whatever the machine draws. NaN where unknown.</summary>
    public double GivenRate { get; private set; }

    /// <summary>What the unwind gives more than a cycle ago, as rate of fill, %/s; NaN where unknown.</summary>
    public double UnwindRate { get; private set; }

    /// <summary>What the machine draws less than a cycle ago, as rate of fill, %/s; 0 where it is not read, NaN where unknown.</summary>
    public double LineRate { get; private set; }

    /// <summary>What it draws less than half a second ago, which no unwind can have followed yet. Looked up when asked for.</summary>
    public double LatestLineRate => (Lately().Line - _presently.Line) * _percentPerMeterPerMinute;

    /// <summary>How the unwind changed the rate in the last half second, %/s per s; NaN where unknown. Looked up when asked for.</summary>
    public double LatestAcceleration =>
        (_presently.Unwind - Lately().Unwind) / LatelySeconds * _percentPerMeterPerMinute;

    /// <summary>How the unwind changes the rate, %/s per s, a cycle apart; NaN where unknown.</summary>
    public double BalanceAcceleration { get; private set; }

    public void Reset()
    {
        _sums.Clear();
        _smoothPlace = _cyclePlace = _beforePlace = 0;
        CycleMean = GapRate = BalanceRate = GivenRate = UnwindRate = BalanceAcceleration = double.NaN;
        LineRate = double.NaN;
        _presently = FilmSum.Unknown;
    }

    /// <summary>Takes a reading with a finite fill.</summary>
    /// <param name="cyclesPerMinute">Read or seen; NaN where neither.</param>
    public void Add(double seconds, double fill, in Reading reading, double cyclesPerMinute)
    {
        double unwind = reading[Signal.UnwindSpeed];
        if (!double.IsFinite(unwind))
            return;
        double line = reading[Signal.LineSpeed];
        if (double.IsFinite(line))
            _line = line;
        _sums.Add(seconds, fill, unwind, _line);
        if (cyclesPerMinute != _cyclesPerMinute)
            (_cyclesPerMinute, _cycle) = (cyclesPerMinute, FilmBlocks.LengthSeconds(cyclesPerMinute));
        if (_sums.CoveredSeconds < _cycle + SmoothSeconds)
            return;
        FilmSum now = _sums.Newest;
        FilmSum cycleAgo = _sums.At(_cycle, ref _cyclePlace);
        FilmSum presently = (now - _sums.At(SmoothSeconds, ref _smoothPlace)) / SmoothSeconds;
        FilmSum before = (cycleAgo - _sums.At(_cycle + SmoothSeconds, ref _beforePlace)) / SmoothSeconds;

        CycleMean = (now.Fill - cycleAgo.Fill) / _cycle;
        GapRate = (presently.Fill - before.Fill) / _cycle;
        GivenRate = presently.Unwind * _percentPerMeterPerMinute;
        BalanceRate = (presently.Unwind - line) * _percentPerMeterPerMinute;
        UnwindRate = (presently.Unwind - before.Unwind) * _percentPerMeterPerMinute;
        BalanceAcceleration = UnwindRate / _cycle;
        LineRate = (before.Line - presently.Line) * _percentPerMeterPerMinute;
        _presently = presently;
        if (Math.Abs(before.Line - presently.Line) > SamePhaseShare * before.Line)
            GapRate = double.NaN;
    }

    /// <summary>Only a line that changes its speed asks for it: looked up at each reading, it took 5 % of the analysis.</summary>
    private FilmSum Lately() =>
        _sums.CoveredSeconds < LatelySeconds + SmoothSeconds
            ? FilmSum.Unknown
            : (_sums.At(LatelySeconds) - _sums.At(LatelySeconds + SmoothSeconds)) / SmoothSeconds;

    /// <summary>How far the unwind just fell below its own mean of before, %; NaN where too little was seen.</summary>
    public double UnwindDropPercent() =>
        100
        * (1 - _sums.Mean(DropSeconds, 0).Unwind / _sums.Mean(LookBackSeconds, DropSeconds + _cycle).Unwind);
}
