using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Bench.WarningQuality.Watchers;

/// <summary>What is set up in a minute on any SCADA: an alarm at 10 % and at 90 % of fill, 1 s delay.</summary>
/// <param name="sensitivity">1: 10 and 90 %; the limits move inward in proportion.</param>
internal sealed class FixedLimits(string name, Feed feed, FillSettings settings, double sensitivity)
    : FillAlarm(name, feed, settings)
{
    private readonly double _low = 10 * sensitivity;

    protected override (bool Full, bool Empty) Judge(double now, double fill, double unwind) =>
        (fill > 100 - _low, fill < _low);
}
