using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// How much the unwind's speed swings once a turn of the roll. A roll off its middle shows here long before fill swings
/// with it; film that catches at random does not, for its jerks fall on any angle.
/// </summary>
/// <remarks>
/// Synchronous detection: the angle is counted up from the roll's rate, and speed times (cos, sin) of it is averaged over
/// each whole turn, which leaves one phasor a turn; steady speed and whole multiples of the turn average out. The phasors
/// of the last turns are added up; the length of their sum over the sum of their lengths says whether they agree (1) or
/// fall anywhere (about 1 / sqrt(n)). O(1) a reading, memory fixed.
/// </remarks>
internal sealed class TurnModulation
{
    private const int Turns = 8;

    /// <summary>Phasors that agree less than the first are chance; more than the second, the roll.</summary>
    private const double ChanceAgreement = 0.6;
    private const double SureAgreement = 0.85;

    private readonly (double Cos, double Sin, double Mean)[] _ring = new (double, double, double)[Turns];
    private int _count;
    private double _turned;
    private (double Cos, double Sin, double Mean) _sum;

    /// <summary>Zero-to-peak swing at the roll's turn, % of the mean unwind speed, as far as the turns agree; NaN until enough were seen.</summary>
    public double Percent { get; private set; } = double.NaN;

    /// <summary>What was seen is no measure any more: another roll, or a stop.</summary>
    public void Clear()
    {
        _count = 0;
        _turned = 0;
        _sum = default;
        Percent = double.NaN;
    }

    /// <param name="elapsedSeconds">Since the reading before, s.</param>
    /// <param name="unwind">m/min.</param>
    /// <param name="turnHz">Turns of the roll a second; NaN where not known: nothing is added.</param>
    /// <param name="cycleHz">Cycles of the machine a second; where it, or twice or thrice it, cannot be told from the turn, nothing is known.</param>
    public void Add(double elapsedSeconds, double unwind, double turnHz, double cycleHz)
    {
        double turned = elapsedSeconds * turnHz;
        if (!(turned > 0) || !double.IsFinite(unwind))
            return;
        if (IsNear(cycleHz, turnHz) || IsNear(2 * cycleHz, turnHz) || IsNear(3 * cycleHz, turnHz))
        {
            Clear();
            return;
        }
        (double sin, double cos) = Rotation.SinCos(_turned);
        _sum.Cos += turned * unwind * cos;
        _sum.Sin += turned * unwind * sin;
        _sum.Mean += turned * unwind;
        _turned += turned;
        if (_turned < 1)
            return;
        _ring[_count++ % Turns] = _sum;
        _sum = default;
        _turned -= Math.Floor(_turned);
        Percent = _count < Turns ? double.NaN : AddUp();
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Turn"u8);
        ledger.Keep(_ring.AsSpan());
        _count = ledger.Count(_count);
        _turned = ledger.Keep(_turned);
        _sum = ledger.Keep(_sum);
        Percent = ledger.Keep(Percent);
    }

    private double AddUp()
    {
        (double cos, double sin, double mean, double lengths) = (0, 0, 0, 0);
        foreach ((double c, double s, double m) in _ring)
        {
            cos += c;
            sin += s;
            mean += m;
            lengths += Math.Sqrt((c * c) + (s * s));
        }
        double length = Math.Sqrt((cos * cos) + (sin * sin));
        double agreement = (length / lengths - ChanceAgreement) / (SureAgreement - ChanceAgreement);
        return 200 * length / mean * Math.Clamp(agreement, 0, 1);
    }

    private static bool IsNear(double hz, double turnHz) => Math.Abs(hz - turnHz) < 1.5 * turnHz / Turns;
}
