using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// Movement to and fro that is slower than the machine cycle: the way the block means went over the last blocks, less how
/// far they got. A ramp leaves nothing; one full swing leaves its peak-to-peak. So a loop that hunts shows in its second
/// half-swing, long before ten periods have been seen.
/// </summary>
internal sealed class SlowSwing
{
    private const int Blocks = 24;

    private readonly double[] _means = new double[Blocks];
    private int _count;
    private int _next;

    /// <summary>%; NaN until enough blocks came.</summary>
    public double Percent { get; private set; } = double.NaN;

    public void Clear()
    {
        _count = _next = 0;
        Percent = double.NaN;
    }

    public void Add(in FilmBlock block)
    {
        _means[_next] = block.MeanFill;
        _next = (_next + 1) % Blocks;
        _count = Math.Min(_count + 1, Blocks);
        if (_count < Blocks)
            return;
        (double way, double lowest, double highest) = (0, _means[_next], _means[_next]);
        for (int i = 1; i < Blocks; i++)
        {
            double mean = _means[(_next + i) % Blocks];
            way += Math.Abs(mean - _means[(_next + i - 1) % Blocks]);
            lowest = Math.Min(lowest, mean);
            highest = Math.Max(highest, mean);
        }
        Percent = Math.Min(way - (highest - lowest), highest - lowest);
    }
}
