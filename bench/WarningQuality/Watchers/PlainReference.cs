using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Bench.WarningQuality.Watchers;

/// <summary>
/// What a good engineer writes in an afternoon: the envelope of ten seconds near a trip; the mean of five seconds going
/// towards it, extrapolated; a swing that grows, extrapolated; no movement although the unwind turns.
/// </summary>
/// <param name="sensitivity">1: within 10 % of the trip, or 15 s by the mean's rate, or 120 s by the swing's growth; multiplies each.</param>
internal sealed class PlainReference(string name, Feed feed, FillSettings settings, double sensitivity)
    : FillAlarm(name, feed, settings)
{
    private readonly double _fullTrip = settings.FullTripPercent;
    private readonly double _emptyTrip = settings.EmptyTripPercent;
    private const int Seconds = 60;
    private const double StillSeconds = 2;

    private readonly (double Low, double High, double Mean)[] _seconds = new (double, double, double)[
        Seconds
    ];
    private int _count;
    private double _start = double.NaN;
    private double _low;
    private double _high;
    private double _sum;
    private int _readings;
    private double _still = double.NaN;
    private double _stillSince;
    private (bool Full, bool Empty) _verdict;

    protected override (bool Full, bool Empty) Judge(double now, double fill, double unwind)
    {
        if (double.IsNaN(_start))
            Begin(now);
        (_low, _high) = (Math.Min(_low, fill), Math.Max(_high, fill));
        _sum += fill;
        _readings++;
        if (fill != _still || unwind < 1)
            (_still, _stillSince) = (fill, now);
        if (now - _start >= 1)
        {
            _seconds[_count++ % Seconds] = (_low, _high, _sum / _readings);
            Begin(now);
            _verdict = Look(fill, unwind);
        }
        bool isStill = now - _stillSince > StillSeconds;
        return isStill ? (_verdict.Full || fill < 50, _verdict.Empty || fill >= 50) : _verdict;
    }

    protected override (bool Full, bool Empty) Standing()
    {
        _count = 0;
        _start = _still = double.NaN;
        return _verdict = default;
    }

    private void Begin(double now)
    {
        (_start, _low, _high, _sum, _readings) = (
            now,
            double.PositiveInfinity,
            double.NegativeInfinity,
            0,
            0
        );
    }

    private (bool Full, bool Empty) Look(double fill, double unwind)
    {
        if (_count < Seconds)
            return default;
        double near = 10 * sensitivity;
        (double low, double high, double mean) = Over(0, 10);
        double recent = Over(0, 5).Mean;
        double rate = (recent - Over(5, 5).Mean) / 5;
        (double lowBefore, double highBefore, _) = Over(30, 30);
        (double lowNow, double highNow, _) = Over(0, 30);
        double growth = ((highNow - lowNow) - (highBefore - lowBefore)) / 2 / 30;
        bool grows = highNow - lowNow > 1.3 * (highBefore - lowBefore);
        double toFull = _fullTrip - high;
        double toEmpty = low - _emptyTrip;
        bool growsPast = grows && Math.Min(toFull, toEmpty) < growth * 120 * sensitivity;
        return (
            toFull < near
                || (rate > 0 && toFull < rate * 15 * sensitivity)
                || (growsPast && toFull < toEmpty),
            toEmpty < near
                || (rate < 0 && toEmpty < -rate * 15 * sensitivity)
                || (growsPast && toEmpty <= toFull)
        );
    }

    private (double Low, double High, double Mean) Over(int back, int length)
    {
        (double low, double high, double sum) = (double.PositiveInfinity, double.NegativeInfinity, 0);
        for (int i = back + 1; i <= back + length; i++)
        {
            var second = _seconds[(_count - i) % Seconds];
            (low, high, sum) = (Math.Min(low, second.Low), Math.Max(high, second.High), sum + second.Mean);
        }
        return (low, high, sum / length);
    }
}
