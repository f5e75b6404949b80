using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Regimes;

/// <summary>Mean of a speed over blocks of time one after the other, each reading weighted by the time since the one before.</summary>
internal sealed class BlockMean
{
    private double _sum;
    private double _seconds;

    /// <summary>Mean of the block that ended last; NaN before the first.</summary>
    public double Latest { get; private set; } = double.NaN;

    /// <summary>Mean of the block before it.</summary>
    public double Before { get; private set; } = double.NaN;

    /// <summary>Adds a speed that held for some seconds. True when that ends a block.</summary>
    public bool Add(double speed, double seconds, double blockSeconds)
    {
        if (!double.IsFinite(speed))
            return false;
        _sum += speed * seconds;
        _seconds += seconds;
        if (_seconds < blockSeconds)
            return false;
        Before = Latest;
        Latest = _sum / _seconds;
        BeginBlock();
        return true;
    }

    /// <summary>The two latest blocks are the same speed, but for a share of it.</summary>
    public bool IsSteady(double share) =>
        Math.Abs(Latest - Before) <= share * Math.Max(Math.Abs(Latest), Math.Abs(Before));

    /// <summary>Drops the block under way.</summary>
    public void BeginBlock() => _sum = _seconds = 0;

    public void Clear()
    {
        BeginBlock();
        Latest = Before = double.NaN;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("BMen"u8);
        _sum = ledger.Keep(_sum);
        _seconds = ledger.Keep(_seconds);
        Latest = ledger.Keep(Latest);
        Before = ledger.Keep(Before);
    }
}
