using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Regimes;

/// <summary>
/// Notices that the machine runs at another steady speed than before: two blocks that agree with each other and not with
/// the era's speed. From line speed, blocks of 2 s are enough. From the unwind they must be so long that the accumulator
/// can't lend or take the difference: all that the unwind feeds in 30 s is drawn but for one storage at most, and not twice.
/// </summary>
internal sealed class SpeedEra
{
    private const double LineBlockSeconds = 2;
    private const double UnwindBlockSeconds = 30;
    private const double SteadyShare = 0.05;
    private const double ChangedShare = 0.15;

    private readonly BlockMean _speed = new();
    private double _eraSpeed = double.NaN;
    private bool _isLineSpeed;

    /// <summary>Adds a speed while running. True where it ends the era.</summary>
    public bool Add(double speed, bool isLineSpeed, double seconds)
    {
        if (isLineSpeed != _isLineSpeed)
        {
            _isLineSpeed = isLineSpeed;
            _eraSpeed = double.NaN;
            _speed.Clear();
        }
        bool isBlock = _speed.Add(speed, seconds, isLineSpeed ? LineBlockSeconds : UnwindBlockSeconds);
        if (!isBlock || !_speed.IsSteady(SteadyShare))
            return false;
        if (Math.Abs(_speed.Latest - _eraSpeed) <= ChangedShare * Math.Abs(_eraSpeed))
            return false;
        bool isFirst = double.IsNaN(_eraSpeed);
        _eraSpeed = _speed.Latest;
        return !isFirst;
    }

    /// <summary>Running was interrupted: the speed of the era stays, the blocks begin anew.</summary>
    public void Pause() => _speed.Clear();

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("SEra"u8);
        _speed.Keep(ledger);
        _eraSpeed = ledger.Keep(_eraSpeed);
        _isLineSpeed = ledger.Keep(_isLineSpeed);
    }
}
