using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Causes;

/// <summary>Whether somebody moved the taught set points or the target, and how far.</summary>
internal sealed class SetPointTracker
{
    private FillEstimate _first;
    private bool _any;

    /// <summary>How far the set points lie from the first ones, % of the first span, the larger of both ends.</summary>
    public double ShiftPercent { get; private set; }

    /// <summary>Target fill that was first in force, %.</summary>
    public double FirstTargetPercent => _any ? _first.TargetPercent : double.NaN;

    public void Add(in FillEstimate fill)
    {
        if (fill.Fault == FillFault.BadSetPoints)
            return;
        if (!_any)
            _first = fill;
        _any = true;
        double span = Math.Abs(_first.GapAtFull - _first.GapAtEmpty);
        double moved = Math.Max(
            Math.Abs(fill.GapAtFull - _first.GapAtFull),
            Math.Abs(fill.GapAtEmpty - _first.GapAtEmpty)
        );
        ShiftPercent = 100 * moved / span;
    }
}
