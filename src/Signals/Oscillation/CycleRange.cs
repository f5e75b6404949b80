using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// Slowest and fastest cycle that each window holds after the machine was given another speed: a tone at either, or between,
/// is the cycle. A rate that creeps is not meant: its tone says that something changes. O(1) a reading.
/// </summary>
/// <param name="spanSeconds">Lengths of the windows, s.</param>
internal sealed class CycleRange(double[] spanSeconds)
{
    /// <summary>A rate that departs by more than this share from where it was is another one.</summary>
    private const double OtherShare = 0.02;

    /// <summary>Where it was is followed with this lag, s: a machine that is given another speed goes there at once.</summary>
    private const double FollowSeconds = 1;

    private readonly (double Slowest, double Fastest)[] _ranges = new (double, double)[spanSeconds.Length];
    private double _followed = double.NaN;
    private double _last = double.NaN;
    private double _changed = double.NaN;

    public void Clear()
    {
        _followed = _last = _changed = double.NaN;
        Array.Fill(_ranges, (double.NaN, double.NaN));
    }

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
        double apart = cycleHz - _followed;
        if (Math.Abs(apart) > OtherShare * _followed)
            Widen(seconds, cycleHz);
        if (elapsed > 0)
            _followed += apart * elapsed / (elapsed + FollowSeconds);
    }

    /// <summary>Slowest and fastest cycle in a window, Hz; the present one where it holds no other.</summary>
    public (double Slowest, double Fastest) At(int window, double seconds, double presentHz) =>
        IsHeld(window, seconds) ? _ranges[window] : (presentHz, presentHz);

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        _followed = ledger.Keep(_followed);
        _last = ledger.Seconds(_last);
        _changed = ledger.Seconds(_changed);
        ledger.Keep(_ranges.AsSpan());
    }

    private void Widen(double seconds, double cycleHz)
    {
        for (int i = 0; i < _ranges.Length; i++)
        {
            (double slowest, double fastest) = IsHeld(i, seconds) ? _ranges[i] : (_followed, _followed);
            _ranges[i] = (Math.Min(slowest, cycleHz), Math.Max(fastest, cycleHz));
        }
        _changed = seconds;
    }

    private bool IsHeld(int window, double seconds) => seconds - _changed < spanSeconds[window];
}
