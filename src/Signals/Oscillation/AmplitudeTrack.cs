namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// How an amplitude grows: slope of its logarithm over time by least squares, over the last few minutes. An exponential
/// keeps its rate under the smoothing of overlapping windows.
/// </summary>
internal sealed class AmplitudeTrack
{
    private const int Capacity = 64;
    private const int FewestPoints = 5;
    private const double FewestSeconds = 20;
    private const double MostSeconds = 300;

    private readonly double[] _seconds = new double[Capacity];
    private readonly double[] _logAmplitude = new double[Capacity];
    private int _next;
    private int _count;
    private double _frequencyHz = double.NaN;

    /// <summary>Growth rate, 1/s; NaN where fewer than five looks, or 20 s, have been seen.</summary>
    public double GrowthPerSecond { get; private set; } = double.NaN;

    public void Clear()
    {
        _count = 0;
        _next = 0;
        _frequencyHz = double.NaN;
        GrowthPerSecond = double.NaN;
    }

    /// <summary>Takes an amplitude; one at another frequency (further than <paramref name="reachHz"/>) starts afresh.</summary>
    public void Add(double seconds, double amplitude, double frequencyHz, double reachHz)
    {
        if (!(Math.Abs(frequencyHz - _frequencyHz) <= reachHz))
            Clear();
        _frequencyHz = frequencyHz;
        if (!(amplitude > 0))
            return;
        _seconds[_next] = seconds;
        _logAmplitude[_next] = Math.Log(amplitude);
        _next = _next + 1 == Capacity ? 0 : _next + 1;
        _count = Math.Min(_count + 1, Capacity);
        Fit(seconds);
    }

    private void Fit(double now)
    {
        int n = 0;
        double first = 0;
        double st = 0;
        double stt = 0;
        double sy = 0;
        double sty = 0;
        for (int back = 1; back <= _count; back++)
        {
            int i = (_next - back + Capacity) % Capacity;
            double t = _seconds[i] - now;
            if (t < -MostSeconds)
                break;
            first = t;
            n++;
            st += t;
            stt += t * t;
            sy += _logAmplitude[i];
            sty += t * _logAmplitude[i];
        }
        GrowthPerSecond =
            n >= FewestPoints && -first >= FewestSeconds
                ? (n * sty - st * sy) / (n * stt - st * st)
                : double.NaN;
    }
}
