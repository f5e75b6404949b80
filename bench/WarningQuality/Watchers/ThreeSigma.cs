using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Bench.WarningQuality.Watchers;

/// <summary>A control chart without thought: fill outside the mean of its own last minute by three of its standard deviations.</summary>
/// <param name="sensitivity">1: three; divides it.</param>
internal sealed class ThreeSigma(string name, Feed feed, FillSettings settings, double sensitivity)
    : FillAlarm(name, feed, settings)
{
    private const double WindowSeconds = 60;

    private readonly Queue<(double Seconds, double Fill)> _window = new();
    private double _sum;
    private double _squares;

    protected override (bool Full, bool Empty) Judge(double now, double fill, double unwind)
    {
        (bool, bool) verdict = default;
        if (_window.Count > 0 && now - _window.Peek().Seconds > 0.9 * WindowSeconds)
        {
            double mean = _sum / _window.Count;
            double deviation = Math.Sqrt(Math.Max(0, (_squares / _window.Count) - (mean * mean)));
            double reach = 3 / sensitivity * deviation;
            verdict = (fill > mean + reach, fill < mean - reach);
        }
        _window.Enqueue((now, fill));
        _sum += fill;
        _squares += fill * fill;
        while (now - _window.Peek().Seconds > WindowSeconds)
        {
            double old = _window.Dequeue().Fill;
            _sum -= old;
            _squares -= old * old;
        }
        return verdict;
    }

    protected override (bool Full, bool Empty) Standing()
    {
        _window.Clear();
        _sum = _squares = 0;
        return default;
    }
}
