using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// What a number usually is here: the median of the first blocks, then a slow follower that moves a fixed small share of
/// the way, so that a fault of minutes stands out and a season does not.
/// </summary>
/// <remarks>The follower steps by a share of the spread towards each value, whatever its size (sign step, as a running median does): outliers count as one step.</remarks>
internal sealed class Usual
{
    private const int FirstBlocks = 30;

    /// <summary>Share of the spread moved a block: about an hour to follow a change of one spread.</summary>
    private const double StepShare = 0.0005;

    private readonly double[] _first = new double[FirstBlocks];
    private readonly double[] _scratch = new double[FirstBlocks];
    private int _count;
    private double _step;

    /// <summary>The usual value; NaN until enough was seen.</summary>
    public double Value { get; private set; } = double.NaN;

    /// <summary>How far values usually lie from it (1.4826 times the median absolute deviation); NaN until enough was seen.</summary>
    public double Spread { get; private set; } = double.NaN;

    public void Clear()
    {
        _count = 0;
        Value = Spread = double.NaN;
    }

    /// <param name="value">One block's value; NaN is left out.</param>
    public void Add(double value)
    {
        if (!double.IsFinite(value))
            return;
        if (_count == FirstBlocks)
        {
            Value += _step * Math.Sign(value - Value);
            return;
        }
        _first[_count++] = value;
        if (_count < FirstBlocks)
            return;
        _first.CopyTo(_scratch, 0);
        Value = Median.Of(_scratch);
        for (int i = 0; i < FirstBlocks; i++)
            _scratch[i] = Math.Abs(_first[i] - Value);
        Spread = 1.4826 * Median.Of(_scratch);
        _step = StepShare * Math.Max(Spread, 0.01 * Math.Abs(Value));
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Usul"u8);
        ledger.Keep(_first.AsSpan());
        _count = ledger.Keep(_count, 0, FirstBlocks);
        _step = ledger.Keep(_step);
        Value = ledger.Keep(Value);
        Spread = ledger.Keep(Spread);
        Ledger.Demand(_count < FirstBlocks || double.IsFinite(Value + _step), "what is usual is no number");
    }
}
