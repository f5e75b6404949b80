using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Memory;

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

    /// <summary>What is only usual proves less than what is read.</summary>
    private const double SoftWeight = 0.6;

    private readonly (double Gained, double Given, double Drawn)[] _ring = new (double, double, double)[
        Blocks + BagStep.MostUnjudged
    ];
    private readonly Usual _usualShare = new(); // of the film given: a speed that is read wrong is wrong by a factor
    private readonly UsualDraw _draw = new();
    private bool _isSoft; // the line speed is not read
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
        Restart();
        _usualShare.Clear();
        _draw.Clear();
    }

    /// <summary>What was entered is over; what is usual stays.</summary>
    public void Restart()
    {
        _count = 0;
        _before = null;
        ContradictionPercent = LostSharePercent = double.NaN;
    }

    /// <summary>The machine tripped: whatever the unwind did on the way there was no other bag.</summary>
    public void Trip()
    {
        Restart();
        _draw.Trip();
    }

    /// <summary>The next block does not follow on the last one.</summary>
    public void Break()
    {
        if (_isSoft)
            Restart();
        _before = null;
        _draw.Break();
    }

    /// <param name="percentPerMeterPerMinute">What 1 m/min more in than out does to fill, %/s; NaN where unknown.</param>
    public void Add(in FilmBlock block, double percentPerMeterPerMinute)
    {
        _isSoft = double.IsNaN(block.MeanLine);
        double line = _isSoft ? Drawn(block, percentPerMeterPerMinute) : block.MeanLine;
        if (!double.IsFinite(line * block.MeanUnwind * percentPerMeterPerMinute))
        {
            Restart();
            return;
        }
        // At its stops the dancer says no more how much film there is.
        bool isBeyond = block.LowestFill < 0 || block.HighestFill > 100;
        if (_before is { } before && !isBeyond)
            Enter(before, block with { MeanLine = line }, percentPerMeterPerMinute);
        _before = isBeyond ? null : block with { MeanLine = line };
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Book"u8);
        ledger.Keep(_ring.AsSpan());
        _usualShare.Keep(ledger);
        _draw.Keep(ledger);
        _isSoft = ledger.Keep(_isSoft);
        _count = ledger.Keep(_count, 0, _ring.Length);
        _next = ledger.Keep(_next, 0, _ring.Length - 1);
        // The block before is of another stretch of readings.
        _before = ledger.Restores ? null : _before;
        ContradictionPercent = ledger.Keep(ContradictionPercent);
        LostSharePercent = ledger.Keep(LostSharePercent);
    }

    private double Drawn(in FilmBlock block, double percentPerMeterPerMinute)
    {
        double draw = _draw.Next(block, percentPerMeterPerMinute, out bool isOther);
        if (isOther)
            Clear();
        return draw;
    }

    /// <summary>From the middle of one block to the middle of the next: block means hold no trace of the cycle's swing.</summary>
    private void Enter(in FilmBlock before, in FilmBlock block, double percentPerMeterPerMinute)
    {
        double seconds = (before.DurationSeconds + block.DurationSeconds) / 2;
        double toPercent = percentPerMeterPerMinute * seconds / 2;
        _ring[_next] = (
            block.MeanFill - before.MeanFill,
            (before.MeanUnwind + block.MeanUnwind) * toPercent,
            (before.MeanLine + block.MeanLine) * toPercent
        );
        _next = (_next + 1) % _ring.Length;
        _count = Math.Min(_count + 1, _ring.Length);
        // What follows a step of the unwind proves nothing before it is known whether bags are others.
        int newest = _isSoft ? _draw.Unjudged : 0;
        if (_count < newest + Blocks)
            return;
        (double minute, double minuteGiven) = Difference(newest, Blocks);
        _usualShare.Add(minute / minuteGiven);
        if (double.IsNaN(_usualShare.Value))
            return;
        double weight = _isSoft ? SoftWeight : 1;
        ContradictionPercent = weight * (minute - _usualShare.Value * minuteGiven);
        (double recent, double given) = Difference(newest, ShortBlocks);
        LostSharePercent = -100 * weight * (recent / given - _usualShare.Value);
    }

    private (double Percent, double Given) Difference(int newest, int blocks)
    {
        (double difference, double given) = (0, 0);
        for (int back = newest + 1; back <= newest + blocks; back++)
        {
            var entry = _ring[(_next - back + _ring.Length) % _ring.Length];
            difference += entry.Gained - (entry.Given - entry.Drawn);
            given += entry.Given;
        }
        return (difference, given);
    }
}
