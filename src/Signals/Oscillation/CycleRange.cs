using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// Slowest and fastest cycle that a window holds after the machine was given another speed: a tone at either, or between,
/// is the cycle. A rate that creeps is not meant: its tone says that something changes. O(1).
/// </summary>
/// <param name="spanSeconds">Length of the window, s.</param>
internal sealed class CycleRange(double spanSeconds)
{
    /// <summary>A rate that departs by more than this share from where it was is another one.</summary>
    private const double OtherShare = 0.02;

    /// <summary>Where it was is followed with this lag, s: a machine that is given another speed goes there at once.</summary>
    private const double FollowSeconds = 1;

    private double _followed = double.NaN;
    private double _slowest = double.NaN;
    private double _fastest = double.NaN;
    private double _last = double.NaN;
    private double _changed = double.NaN;

    public void Clear() => _followed = _slowest = _fastest = _last = _changed = double.NaN;

    /// <param name="seconds">Time, s; rising.</param>
    /// <param name="cycleHz">Cycles a second; NaN where not read.</param>
    public void Add(double seconds, double cycleHz)
    {
        if (!(cycleHz > 0))
            return;
        double elapsed = seconds - _last;
        _last = seconds;
        if (double.IsNaN(_followed))
            _followed = cycleHz;
        if (Math.Abs(cycleHz - _followed) > OtherShare * _followed)
        {
            if (!IsHeld(seconds))
                _slowest = _fastest = _followed;
            (_slowest, _fastest) = (Math.Min(_slowest, cycleHz), Math.Max(_fastest, cycleHz));
            _changed = seconds;
        }
        if (elapsed > 0)
            _followed += (cycleHz - _followed) * elapsed / (elapsed + FollowSeconds);
    }

    /// <summary>Slowest and fastest cycle in the window, Hz; the present one where it holds no other.</summary>
    public (double Slowest, double Fastest) At(double seconds, double presentHz) =>
        IsHeld(seconds) ? (_slowest, _fastest) : (presentHz, presentHz);

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        _followed = ledger.Keep(_followed);
        _slowest = ledger.Keep(_slowest);
        _fastest = ledger.Keep(_fastest);
        _last = ledger.Seconds(_last);
        _changed = ledger.Seconds(_changed);
    }

    private bool IsHeld(double seconds) => seconds - _changed < spanSeconds;
}
