using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// Movement to and fro that is slower than the machine cycle: the way the block means went over the last blocks, less how
/// far they got. A ramp leaves nothing; one full swing leaves its peak-to-peak. So a loop that hunts shows in its second
/// half-swing, long before ten periods have been seen.
/// </summary>
/// <remarks>
/// Who moves the film is told by the film balance: regression of the fill's rate on what the unwind gives above its mean
/// has a slope of 1 where the unwind does it all, and of 0 where it is the draw.
/// </remarks>
internal sealed class SlowSwing
{
    private const int Blocks = 24;

    private readonly double[] _means = new double[Blocks];
    private readonly double[] _unwinds = new double[Blocks];
    private int _count;
    private int _next;

    /// <summary>%; NaN until enough blocks came.</summary>
    public double Percent { get; private set; } = double.NaN;

    /// <summary>Share of the movement that comes from the unwind: about 1 or 0; NaN where storage is unknown or too little was seen.</summary>
    public double UnwindShare { get; private set; } = double.NaN;

    public void Clear()
    {
        _count = _next = 0;
        Percent = UnwindShare = double.NaN;
    }

    /// <param name="block">Closed.</param>
    /// <param name="percentPerMeterPerMinute">What 1 m/min more in than out does to fill, %/s; NaN where unknown.</param>
    public void Add(in FilmBlock block, double percentPerMeterPerMinute)
    {
        _means[_next] = block.MeanFill;
        _unwinds[_next] = block.MeanUnwind * percentPerMeterPerMinute * block.DurationSeconds;
        _next = (_next + 1) % Blocks;
        _count = Math.Min(_count + 1, Blocks);
        if (_count < Blocks)
            return;
        (double way, double lowest, double highest) = (0, _means[_next], _means[_next]);
        double meanGiven = 0;
        for (int i = 0; i < Blocks; i++)
            meanGiven += _unwinds[i] / Blocks;
        (double together, double moved) = (0, 0);
        for (int i = 1; i < Blocks; i++)
        {
            int at = (_next + i) % Blocks;
            int before = (_next + i - 1) % Blocks;
            double step = _means[at] - _means[before];
            // From the middle of one block to the middle of the next.
            double given = ((_unwinds[at] + _unwinds[before]) / 2) - meanGiven;
            together += step * given;
            moved += step * step;
            way += Math.Abs(step);
            lowest = Math.Min(lowest, _means[at]);
            highest = Math.Max(highest, _means[at]);
        }
        Percent = Math.Min(way - (highest - lowest), highest - lowest);
        UnwindShare = together / moved;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Slow"u8);
        ledger.Keep(_means.AsSpan());
        ledger.Keep(_unwinds.AsSpan());
        _count = ledger.Keep(_count, 0, Blocks);
        _next = ledger.Keep(_next, 0, Blocks - 1);
        Percent = ledger.Keep(Percent);
        UnwindShare = ledger.Keep(UnwindShare);
    }
}
