using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// Whether somebody moved the taught set points or the target. Set points are taught at standstill, where new ones are
/// taken over; moved while the machine runs they move no film and no end stop, so what was in force before still says
/// where the dancer is.
/// </summary>
internal sealed class SetPointTracker
{
    private FillEstimate _taught;
    private FillEstimate _first;
    private bool _any;

    /// <summary>How far the set points lie from the first ones, % of the first span, the larger of both ends.</summary>
    public double ShiftPercent { get; private set; }

    /// <summary>Fill by the set points last taught at standstill less fill by those in force, %; 0 where they are the same.</summary>
    public double OffsetPercent { get; private set; }

    /// <summary>Target fill that was first in force, %.</summary>
    public double FirstTargetPercent => _any ? _first.TargetPercent : double.NaN;

    public void Add(in FillEstimate fill, Regime regime)
    {
        if (!double.IsFinite(fill.Percent))
            return;
        if (!_any)
            _first = fill;
        if (!_any || regime == Regime.Stopped)
            _taught = fill;
        _any = true;
        if (fill.GapAtEmpty == _taught.GapAtEmpty && fill.GapAtFull == _taught.GapAtFull)
        {
            OffsetPercent = 0;
            return;
        }
        double gap = fill.GapAtEmpty + fill.Percent / 100 * (fill.GapAtFull - fill.GapAtEmpty);
        double span = _taught.GapAtFull - _taught.GapAtEmpty;
        OffsetPercent = 100 * (gap - _taught.GapAtEmpty) / span - fill.Percent;
        double moved = Math.Max(
            Math.Abs(fill.GapAtFull - _first.GapAtFull),
            Math.Abs(fill.GapAtEmpty - _first.GapAtEmpty)
        );
        ShiftPercent = 100 * moved / Math.Abs(_first.GapAtFull - _first.GapAtEmpty);
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("SetP"u8);
        _taught = ledger.Keep(_taught);
        _first = ledger.Keep(_first);
        _any = ledger.Keep(_any);
        ShiftPercent = ledger.Keep(ShiftPercent);
        OffsetPercent = ledger.Keep(OffsetPercent);
    }
}
