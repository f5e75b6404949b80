using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.FilmPath;

/// <summary>Fill and film edge over one step of <see cref="EvenGrid"/>.</summary>
/// <param name="Fill">Mean fill, %.</param>
/// <param name="Edge">Mean position of the film edge, mm; NaN where it was not read.</param>
internal readonly record struct GridPoint(double Fill, double Edge);

/// <summary>
/// Readings come unevenly; speeds and spectra need even steps. So readings are averaged over blocks of 1/8 s: a lost read
/// leaves a block a reading shorter, jitter moves nothing but a reading from block to block. Empty blocks are filled by a
/// straight line up to half a second; a longer hole breaks the series.
/// </summary>
/// <remarks>
/// A block mean has gain sinc(f / 8 Hz): 0.97 at 1 Hz, 0.90 at 2 Hz, alike for both signals, and nothing at 8 Hz and its
/// multiples, so that what folds down to slow frequencies is next to nothing. O(1) a reading; memory fixed.
/// </remarks>
internal sealed class EvenGrid
{
    public const double StepSeconds = 0.125;

    /// <summary>Empty blocks that are bridged.</summary>
    private const int MostEmpty = 4;

    private readonly GridPoint[] _points = new GridPoint[MostEmpty + 1];
    private GridPoint _before;
    private double _beforeBlock = double.NaN;
    private double _block = double.NaN;
    private double _fill;
    private double _edge;
    private int _count;
    private int _edgeCount;

    public void Break() => _block = _beforeBlock = double.NaN;

    /// <summary>Takes a reading with a finite fill; its time is later than the one before.</summary>
    /// <param name="seconds">Time, s.</param>
    /// <param name="fill">Fill, %.</param>
    /// <param name="edge">Film edge, mm; NaN where not read.</param>
    /// <param name="isBroken">The points do not follow on those before.</param>
    /// <returns>The points that this reading completes, none most of the time; good until the next call.</returns>
    public ReadOnlySpan<GridPoint> Add(double seconds, double fill, double edge, out bool isBroken)
    {
        isBroken = false;
        ReadOnlySpan<GridPoint> points = [];
        double block = Math.Floor(seconds / StepSeconds);
        if (block != _block)
        {
            if (!double.IsNaN(_block))
                points = Close(out isBroken);
            _block = block;
            _fill = _edge = 0;
            _count = _edgeCount = 0;
        }
        _fill += fill;
        _count++;
        if (double.IsFinite(edge))
        {
            _edge += edge;
            _edgeCount++;
        }
        return points;
    }

    private ReadOnlySpan<GridPoint> Close(out bool isBroken)
    {
        GridPoint now = new(_fill / _count, _edgeCount == 0 ? double.NaN : _edge / _edgeCount);
        // Restored, blocks of before lie between those of now: they begin where the other clock's did.
        double steps = Math.Max(1, Math.Round(_block - _beforeBlock));
        isBroken = !(steps <= MostEmpty + 1);
        int count = isBroken ? 1 : (int)steps;
        for (int i = 1; i < count; i++)
        {
            double share = (double)i / count;
            _points[i - 1] = new(
                double.Lerp(_before.Fill, now.Fill, share),
                double.Lerp(_before.Edge, now.Edge, share)
            );
        }
        _points[count - 1] = now;
        (_before, _beforeBlock) = (now, _block);
        return _points.AsSpan(0, count);
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Grid"u8);
        _before = ledger.Keep(_before);
        _fill = ledger.Keep(_fill);
        _edge = ledger.Keep(_edge);
        _block = ledger.Seconds(_block * StepSeconds) / StepSeconds;
        _beforeBlock = ledger.Seconds(_beforeBlock * StepSeconds) / StepSeconds;
        _count = ledger.Count(_count);
        _edgeCount = ledger.Count(_edgeCount);
    }
}
