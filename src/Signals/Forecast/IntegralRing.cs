namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// Time integral of a signal over the last seconds, so that its mean over any two moments in the window is one subtraction:
/// the mean over exactly one machine cycle has no trace of the cycle's own swing.
/// </summary>
/// <remarks>Trapezoid rule between readings, straight line within. O(1) a look-up on evenly timed readings; memory fixed.</remarks>
/// <param name="capacity">Readings kept.</param>
internal sealed class IntegralRing(int capacity)
{
    private readonly (double Seconds, double Integral)[] _ring = new (double, double)[capacity];
    private int _next;
    private int _count;
    private double _lastValue;

    /// <summary>Seconds covered, from the oldest kept reading to the newest.</summary>
    public double CoveredSeconds => _count < 2 ? 0 : At(0).Seconds - At(_count - 1).Seconds;

    public void Clear() => _count = 0;

    /// <param name="seconds">Time, s; rising.</param>
    /// <param name="value">Finite.</param>
    public void Add(double seconds, double value)
    {
        double integral = 0;
        if (_count > 0)
        {
            (double before, double sum) = At(0);
            integral = sum + (seconds - before) * (value + _lastValue) / 2;
        }
        _ring[_next] = (seconds, integral);
        _next = _next + 1 == capacity ? 0 : _next + 1;
        _count = Math.Min(_count + 1, capacity);
        _lastValue = value;
    }

    /// <summary>Mean from <paramref name="fromBack"/> to <paramref name="toBack"/> seconds before the newest reading; NaN where not covered.</summary>
    public double Mean(double fromBack, double toBack)
    {
        if (fromBack > CoveredSeconds + 1e-9)
            return double.NaN;
        return (Integral(toBack) - Integral(fromBack)) / (fromBack - toBack);
    }

    private double Integral(double back)
    {
        double wanted = At(0).Seconds - back;
        double step = CoveredSeconds / (_count - 1);
        int i = Math.Clamp((int)(back / step), 0, _count - 2);
        while (i > 0 && At(i).Seconds < wanted)
            i--;
        while (i < _count - 2 && At(i + 1).Seconds > wanted)
            i++;
        (double later, double laterSum) = At(i);
        (double earlier, double earlierSum) = At(i + 1);
        return earlierSum + (laterSum - earlierSum) * (wanted - earlier) / (later - earlier);
    }

    private (double Seconds, double Integral) At(int back)
    {
        int place = _next - 1 - back;
        return _ring[place < 0 ? place + capacity : place];
    }
}
