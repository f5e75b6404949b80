namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// A hand that holds the dancer, machine and unwind locked out: it goes where it is wanted at its own pace and stays there,
/// trembling a little, until it lets go. Film comes off the roll and back onto it as the dancer needs, and the spindle turns
/// with it.
/// </summary>
/// <remarks>
/// Trembling: about 0.01 % of travel, forgotten within a second and without jerks, as of a dancer rested against a pin:
/// white noise through two equal lags (common practice, no source).
/// </remarks>
internal sealed class HandOnDancer(Random random)
{
    private const double TremblePercent = 0.01;
    private const double TrembleSeconds = 0.3;

    // It slows down before it arrives, so that the dancer does not overshoot.
    private const double EaseSeconds = 0.3;
    private const double ArrivedPercent = 0.01;

    private double _wantedPercent = double.NaN;
    private double _percent;
    private double _percentPerSecond;
    private double _shake;
    private double _tremble;

    public bool IsHolding => !double.IsNaN(_wantedPercent);

    /// <summary>It is where it is wanted.</summary>
    public bool IsThere => _percent == _wantedPercent;

    /// <param name="fromPercent">Where the dancer is.</param>
    /// <param name="toPercent">Where it is to be.</param>
    /// <param name="percentPerSecond">How fast.</param>
    public void Move(double fromPercent, double toPercent, double percentPerSecond)
    {
        if (!IsHolding)
            _percent = fromPercent;
        _wantedPercent = toPercent;
        _percentPerSecond = percentPerSecond;
    }

    public void LetGo() => _wantedPercent = double.NaN;

    /// <returns>Angle the roll turns, rad; negative winds back on.</returns>
    public double Step(double seconds, double storedPercent, double storageMeters, Roll roll)
    {
        double way = _wantedPercent - _percent;
        double pace = Math.Min(_percentPerSecond, Math.Abs(way) / EaseSeconds) * seconds;
        _percent = Math.Abs(way) < ArrivedPercent ? _wantedPercent : _percent + (Math.Sign(way) * pace);
        // Two equal lags halve the variance of the first: hence the root of 2.
        double kept = Math.Exp(-seconds / TrembleSeconds);
        double shaken = Math.Sqrt(2 * (1 - (kept * kept))) * TremblePercent;
        _shake = (kept * _shake) + (shaken * random.NextNormal());
        _tremble = (kept * _tremble) + ((1 - kept) * _shake);
        double missing = (_percent + _tremble - storedPercent) / 100 * storageMeters;
        return missing / (roll.DiameterMeters / 2);
    }
}
