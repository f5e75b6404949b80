using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// How much of the last while the controller asked for the wrong thing: less film than the line takes with the fill clearly
/// below target, or more with it above. It then acts on what fill was, not on what it is. Such a loop errs to both sides in
/// turn; a drive that cannot give more errs to one.
/// </summary>
internal sealed class WrongWay
{
    /// <summary>"The last while", s.</summary>
    private const double LagSeconds = 15;

    /// <summary>What is asked for beside the line's speed, as share of it, for it to be clearly wrong.</summary>
    private const double ClearShare = 0.05;

    /// <summary>Off target, %, from which on it is clear what should be asked for.</summary>
    private const double ClearPercent = 5;

    /// <summary>How many times as long one side may last as the other.</summary>
    private const double Unevenness = 3;

    private double _less;
    private double _more;

    /// <summary>0 to 1; 0 where command or line are not read.</summary>
    public double Share => Math.Min(_less + _more, (1 + Unevenness) * Math.Min(_less, _more));

    /// <summary>The same, of too little film alone: all that the drive can give is less than the line takes.</summary>
    public double ShortShare => Math.Max(0, _less - (Unevenness * _more));

    public void Clear() => _less = _more = 0;

    /// <param name="elapsedSeconds">Since the reading before, s.</param>
    /// <param name="command">Asked of the unwind, m/min.</param>
    /// <param name="line">What the machine takes, m/min.</param>
    public void Add(double elapsedSeconds, in FillEstimate fill, double command, double line)
    {
        double more = (command / line) - 1;
        double offTarget = fill.Percent - fill.TargetPercent;
        double share = elapsedSeconds / (elapsedSeconds + LagSeconds);
        _less += ((more < -ClearShare && offTarget < -ClearPercent ? 1 : 0) - _less) * share;
        _more += ((more > ClearShare && offTarget > ClearPercent ? 1 : 0) - _more) * share;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Wrng"u8);
        _less = ledger.Keep(_less);
        _more = ledger.Keep(_more);
    }
}
