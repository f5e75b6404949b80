using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Regimes;

/// <summary>
/// Tells a machine that starts on a roll that is held from hands at the film, where neither line nor running are read: the
/// unwind stands and the dancer falls. A machine takes a bag at a time and rests between: a fall of one bag's length, then
/// another fall, no sooner than a cycle allows. A hand goes evenly, or as far as its arm.
/// </summary>
/// <remarks>Lengths and times by judgement; the bag's length is that of the machine's own run before. O(1) a reading.</remarks>
internal sealed class BagPulls(double storageMillimeters)
{
    /// <summary>A fall is a bag's within this share: a curved cam reads film so much longer or shorter near its ends.</summary>
    private const double SameLength = 0.15;

    /// <summary>So much further down is a fall, % of fill: beyond the noise of a good sensor.</summary>
    private const double FallPercent = 0.7;

    /// <summary>The fall that makes it certain has gone so far, % of fill and share of a bag.</summary>
    private const double CertainPercent = 3;
    private const double CertainShare = 0.25;

    /// <summary>No further down for so long is the end of a fall, s.</summary>
    private const double RestSeconds = 0.1;

    /// <summary>A cycle is not longer, s: the slowest in the trade takes 2 s, and it begins slower.</summary>
    private const double LongestCycleSeconds = 3.5;

    /// <summary>Fill is followed with this lag, s.</summary>
    private const double LagSeconds = 0.04;

    private double _fill = double.NaN;
    private double _from; // fill at rest before the last fall, %
    private double _low; // lowest of the fall under way; at rest, where it rests
    private double _sinceFallBegan;
    private double _sinceLow;
    private bool _isFalling;
    private int _bags; // falls of a bag's length in a row

    /// <summary>The machine draws.</summary>
    public bool IsCertain { get; private set; }

    /// <summary>Where the dancer stood before it began to fall, %; NaN where it was not seen to stand.</summary>
    public double StoodPercent { get; private set; } = double.NaN;

    /// <summary>Takes a reading.</summary>
    /// <param name="seconds">Since the one before, s.</param>
    /// <param name="fillPercent">NaN where unknown.</param>
    /// <param name="pull">Of the machine when it ran.</param>
    /// <param name="enough">Falls of a bag's length before the one under way that make it certain.</param>
    public void Next(double seconds, double fillPercent, UsualPull pull, int enough)
    {
        IsCertain = false;
        if (double.IsNaN(fillPercent) || !(pull.Millimeters > 0))
            return;
        _sinceFallBegan += seconds;
        if (double.IsNaN(_fill))
        {
            Rest(_fill = fillPercent);
            Forget();
        }
        _fill += (fillPercent - _fill) * seconds / (seconds + LagSeconds);
        double bag = 100 * pull.Millimeters / storageMillimeters;
        if (_isFalling)
            Fall(seconds);
        else
            Stand(seconds, bag, pull.Seconds);
        double fallen = _from - _fill;
        IsCertain = _isFalling && _bags >= enough && fallen > Math.Max(CertainPercent, CertainShare * bag);
    }

    /// <summary>The unwind moves: what the dancer does says nothing by itself.</summary>
    public void Clear()
    {
        _fill = double.NaN;
        _bags = 0;
        _isFalling = IsCertain = false;
        StoodPercent = double.NaN;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("BPul"u8);
        _fill = ledger.Keep(_fill);
        _from = ledger.Keep(_from);
        _low = ledger.Keep(_low);
        _sinceFallBegan = ledger.Keep(_sinceFallBegan);
        _sinceLow = ledger.Keep(_sinceLow);
        _isFalling = ledger.Keep(_isFalling);
        _bags = ledger.Keep(_bags, 0, 2);
        IsCertain = ledger.Keep(IsCertain);
        StoodPercent = ledger.Keep(StoodPercent);
    }

    private void Fall(double seconds)
    {
        _sinceLow += seconds;
        if (_fill < _low - (FallPercent / 4))
        {
            _low = _fill;
            _sinceLow = 0;
        }
        else if (_sinceLow >= RestSeconds)
        {
            Rest(_fill);
        }
    }

    private void Stand(double seconds, double bag, double cycleSeconds)
    {
        if (_fill > _low - FallPercent)
        {
            // Film that comes back is no machine's work.
            if (_fill > _from || _sinceFallBegan > LongestCycleSeconds)
                Forget();
            _low += (_fill - _low) * seconds / (seconds + RestSeconds);
            return;
        }
        // Sooner than the machine cycles it is the same fall, or the dancer rings.
        if (_sinceFallBegan > (1 - SameLength) * cycleSeconds)
        {
            bool isBag = Math.Abs(_from - _low - bag) < SameLength * bag;
            _bags = isBag ? Math.Min(_bags + 1, 2) : 0;
            _from = _low;
            _sinceFallBegan = 0;
        }
        _low = _fill;
        _sinceLow = 0;
        _isFalling = true;
    }

    private void Rest(double fill)
    {
        _isFalling = false;
        _low = fill;
    }

    private void Forget()
    {
        _bags = 0;
        _from = StoodPercent = _low;
    }
}
