using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Regimes;

/// <summary>Notices a new roll by its diameter: film only ever takes from a roll, so one that grew is another.</summary>
internal sealed class DiameterJump
{
    private const double LeastMillimeters = 10;
    private const double LeastShare = 0.03;

    /// <summary>How long it must stay so, s; a sensor that looks past the roll for a moment does not.</summary>
    private const double HoldSeconds = 1;

    /// <summary>Time constant that smooths the sensor, s.</summary>
    private const double SmoothSeconds = 5;

    private double _diameter = double.NaN;
    private double _grownSeconds;

    /// <summary>True where this reading makes sure that the roll is another one.</summary>
    public bool Next(in Reading reading, double seconds)
    {
        double diameter = reading[Signal.RollDiameter];
        if (!double.IsFinite(diameter) || diameter <= 0)
            return false;
        if (double.IsNaN(_diameter))
            _diameter = diameter;
        double grown = diameter - _diameter;
        if (grown <= Math.Max(LeastMillimeters, LeastShare * _diameter))
        {
            _grownSeconds = 0;
            _diameter += grown * seconds / (SmoothSeconds + seconds);
            return false;
        }
        _grownSeconds += seconds;
        if (_grownSeconds < HoldSeconds)
            return false;
        _grownSeconds = 0;
        _diameter = diameter;
        return true;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("DJmp"u8);
        _diameter = ledger.Keep(_diameter);
        _grownSeconds = ledger.Keep(_grownSeconds);
    }
}
