using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>What became of a hold so far.</summary>
public enum HoldState
{
    /// <summary>Not one gap was read.</summary>
    NoReadings,

    /// <summary>It moved within the last second.</summary>
    Moving,

    /// <summary>It is still, not yet for long enough.</summary>
    TooShort,

    /// <summary>It was still for long enough: <see cref="HoldWatch.Hold"/> is there.</summary>
    Good,
}

/// <summary>
/// Watches a dancer that a person holds still. It is still while means over half a second stay within
/// <see cref="StillShare"/> of the span of each other; noise of the sensor does not count as movement, a reading that failed
/// is passed over. One reading in, one state out.
/// </summary>
/// <param name="span">Gap between the ends of travel, as far as it is known, in the gap's unit.</param>
/// <param name="step">Resolution of the gap.</param>
public sealed class HoldWatch(double span, double step)
{
    /// <summary>A hold is this long, s.</summary>
    public const double EnoughSeconds = 10;

    /// <summary>Share of the span within which a dancer held by hand is still: common practice, no source.</summary>
    private const double StillShare = 0.006;

    private const double BlockSeconds = 0.5;

    private readonly double _limit = Math.Max(StillShare * Math.Abs(span), 2 * step);
    private readonly List<double> _gaps = [];
    private long _firstTicks;
    private long _blockTicks;
    private double _sum;
    private int _count;
    private double _lowest;
    private double _highest;
    private bool _anything;

    /// <summary>How long the dancer has been still, s.</summary>
    public double StillSeconds { get; private set; }

    /// <summary>The longest it has been still, s.</summary>
    public double LongestSeconds { get; private set; }

    /// <summary>The last gap that was read; NaN before the first.</summary>
    public double Gap { get; private set; } = double.NaN;

    /// <summary>Not null once it has been still for long enough.</summary>
    public Hold? Hold { get; private set; }

    public HoldState State =>
        Hold is not null ? HoldState.Good
        : !_anything ? HoldState.NoReadings
        : StillSeconds < 2 * BlockSeconds ? HoldState.Moving
        : HoldState.TooShort;

    public void Next(in Reading reading)
    {
        double gap = reading[Signal.Gap];
        if (Hold is not null || !double.IsFinite(gap))
            return;
        Gap = gap;
        if (!_anything || _gaps.Count == 0)
            Begin(reading.Ticks);
        _anything = true;
        _gaps.Add(gap);
        _sum += gap;
        _count++;
        if (Seconds(reading.Ticks - _blockTicks) < BlockSeconds)
            return;
        double mean = _sum / _count;
        _lowest = Math.Min(_lowest, mean);
        _highest = Math.Max(_highest, mean);
        (_blockTicks, _sum, _count) = (reading.Ticks, 0, 0);
        if (_highest - _lowest > _limit)
        {
            _gaps.Clear();
            StillSeconds = 0;
            return;
        }
        StillSeconds = Seconds(reading.Ticks - _firstTicks);
        LongestSeconds = Math.Max(LongestSeconds, StillSeconds);
        if (StillSeconds >= EnoughSeconds)
            Hold = Hold.Of(_gaps.ToArray(), step, StillSeconds);
    }

    private void Begin(long ticks)
    {
        _firstTicks = _blockTicks = ticks;
        (_sum, _count) = (0, 0);
        _lowest = double.PositiveInfinity;
        _highest = double.NegativeInfinity;
    }

    private static double Seconds(long ticks) => (double)ticks / TimeSpan.TicksPerSecond;
}
