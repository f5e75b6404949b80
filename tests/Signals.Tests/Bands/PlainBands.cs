using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Tests.Bands;

/// <summary>The obvious way: keep every reading, drop the old, sort the rest. Says what the sliding windows must say.</summary>
/// <param name="slices">Length of the window.</param>
/// <param name="sliceTicks">Of running time: the window's old end moves by whole slices.</param>
internal sealed class PlainBands(FillScale scale, int slices, long sliceTicks, long pollTicks)
{
    private readonly List<(long RunningTicks, double Fill)> _readings = [];
    private long _running;
    private long? _last;

    public void Add(long ticks, double gap)
    {
        if (!double.IsFinite(gap) || gap < 0 || gap > 4095 || ticks <= _last)
            return;
        long step = ticks - (_last ?? ticks);
        _running += step > Math.Max(TimeSpan.TicksPerSecond, 3 * pollTicks) ? pollTicks : step;
        _last = ticks;
        _readings.Add((_running, scale.PercentAt(gap)));
    }

    public void Reset() => _readings.Clear();

    public BandEstimate Estimate()
    {
        double[] sorted =
        [
            .. _readings
                .Where(r => r.RunningTicks / sliceTicks > (_running / sliceTicks) - slices)
                .Select(r => r.Fill)
                .Order(),
        ];
        double At(decimal p) =>
            sorted.Length == 0 ? double.NaN : sorted[Math.Max((int)Math.Ceiling(p * sorted.Length), 1) - 1];
        return new BandEstimate(
            At(0.01m),
            At(0.05m),
            At(0.25m),
            At(0.50m),
            At(0.75m),
            At(0.95m),
            At(0.99m),
            sorted.Length
        );
    }
}
