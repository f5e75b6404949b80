using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// Keeps book of film: what came in less what went out must be what the gap says the accumulator gained. The difference
/// over the last blocks accuses the gap (a drift) or the way (film caught between roll and accumulator). Needs line speed
/// and storage; O(1) a block, memory fixed.
/// </summary>
internal sealed class FilmBook
{
    private const int Blocks = 60;
    private const int ShortBlocks = 15;

    private readonly (double Gained, double Given, double Drawn, double Seconds)[] _ring = new (
        double,
        double,
        double,
        double
    )[Blocks];
    private readonly Usual _usualRate = new();
    private int _count;
    private int _next;
    private FilmBlock? _before;

    /// <summary>Fill gained by the gap less fill gained by the film balance over the last minute or so, less what is usual, %.</summary>
    public double ContradictionPercent { get; private set; } = double.NaN;

    /// <summary>Share of the unwound film that did not arrive over the last quarter of a minute or so, less what is usual, %.</summary>
    public double LostSharePercent { get; private set; } = double.NaN;

    /// <summary>Gap and film need no longer agree with what was before: new set points, another product.</summary>
    public void Clear()
    {
        _count = 0;
        _before = null;
        _usualRate.Clear();
        ContradictionPercent = LostSharePercent = double.NaN;
    }

    /// <summary>The next block does not follow on the last one.</summary>
    public void Break() => _before = null;

    /// <param name="percentPerMeterPerMinute">What 1 m/min more in than out does to fill, %/s; NaN where unknown.</param>
    public void Add(in FilmBlock block, double percentPerMeterPerMinute)
    {
        if (!double.IsFinite(block.MeanLine * block.MeanUnwind * percentPerMeterPerMinute))
            return;
        if (_before is { } before)
            Enter(before, block, percentPerMeterPerMinute);
        _before = block;
    }

    /// <summary>From the middle of one block to the middle of the next: block means hold no trace of the cycle's swing.</summary>
    private void Enter(in FilmBlock before, in FilmBlock block, double percentPerMeterPerMinute)
    {
        double seconds = (before.DurationSeconds + block.DurationSeconds) / 2;
        double toPercent = percentPerMeterPerMinute * seconds / 2;
        _ring[_next] = (
            block.MeanFill - before.MeanFill,
            (before.MeanUnwind + block.MeanUnwind) * toPercent,
            (before.MeanLine + block.MeanLine) * toPercent,
            seconds
        );
        _next = (_next + 1) % Blocks;
        _count = Math.Min(_count + 1, Blocks);
        if (_count < Blocks)
            return;
        (double minute, _, double minuteSeconds) = Difference(Blocks);
        _usualRate.Add(minute / minuteSeconds);
        if (double.IsNaN(_usualRate.Value))
            return;
        ContradictionPercent = minute - _usualRate.Value * minuteSeconds;
        (double recent, double given, double recentSeconds) = Difference(ShortBlocks);
        LostSharePercent = -100 * (recent - _usualRate.Value * recentSeconds) / given;
    }

    private (double Percent, double Given, double Seconds) Difference(int blocks)
    {
        (double difference, double given, double seconds) = (0, 0, 0);
        for (int back = 1; back <= blocks; back++)
        {
            var entry = _ring[(_next - back + Blocks) % Blocks];
            difference += entry.Gained - (entry.Given - entry.Drawn);
            given += entry.Given;
            seconds += entry.Seconds;
        }
        return (difference, given, seconds);
    }
}
