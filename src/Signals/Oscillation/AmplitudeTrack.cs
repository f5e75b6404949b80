using Dancerwatch.Signals.Memory;

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
    private int _count;
    private double _frequencyHz = double.NaN;

    /// <summary>Growth rate, 1/s; NaN where fewer than five looks, or 20 s, have been seen.</summary>
    public double GrowthPerSecond { get; private set; } = double.NaN;

    public void Clear()
    {
        _count = 0;
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
        DropOld(seconds);
        _seconds[_count] = seconds;
        _logAmplitude[_count++] = Math.Log(amplitude);
        GrowthPerSecond =
            _count >= FewestPoints && seconds - _seconds[0] >= FewestSeconds
                ? LineFit.Of(_seconds.AsSpan(0, _count), _logAmplitude.AsSpan(0, _count)).Slope
                : double.NaN;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Ampl"u8);
        for (int i = 0; i < Capacity; i++)
            _seconds[i] = ledger.Seconds(_seconds[i]);
        ledger.Keep(_logAmplitude.AsSpan());
        _count = ledger.Keep(_count, 0, Capacity);
        _frequencyHz = ledger.Keep(_frequencyHz);
        GrowthPerSecond = ledger.Keep(GrowthPerSecond);
    }

    private void DropOld(double now)
    {
        int old = _count == Capacity ? 1 : 0;
        while (old < _count && _seconds[old] < now - MostSeconds)
            old++;
        _seconds.AsSpan(old, _count - old).CopyTo(_seconds);
        _logAmplitude.AsSpan(old, _count - old).CopyTo(_logAmplitude);
        _count -= old;
    }
}
