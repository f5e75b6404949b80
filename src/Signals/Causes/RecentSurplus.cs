using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// How far the unwind lately ran ahead of what it was asked for. Neither a brake nor film that catches makes a roll run
/// ahead; a roll that sits off its middle does, on its way down.
/// </summary>
internal sealed class RecentSurplus
{
    /// <summary>Speeds are followed with this lag, s.</summary>
    private const double LagSeconds = 0.1;

    /// <summary>"Lately": a peak is half forgotten after so long, s.</summary>
    private const double HalfLifeSeconds = 10;

    /// <summary>What was asked for within this time may still be what the roll does, s: longer than a drive lags.</summary>
    private const double DriveSeconds = 3;

    private static readonly double s_forgetPerSecond = Math.Log(2) / HalfLifeSeconds;

    private double _unwind;
    private double _mostAsked;

    /// <summary>Highest of the last seconds, %.</summary>
    public double Percent { get; private set; }

    /// <summary>The machine stops or starts.</summary>
    public void Pause() => _unwind = 0;

    /// <param name="elapsedSeconds">Since the reading before, s.</param>
    /// <param name="unwind">m/min.</param>
    /// <param name="command">m/min; NaN where not known: nothing is added.</param>
    public void Add(double elapsedSeconds, double unwind, double command)
    {
        Percent *= Math.Max(0, 1 - (s_forgetPerSecond * elapsedSeconds));
        if (!double.IsFinite(unwind) || !(command > 0))
            return;
        _unwind += (unwind - _unwind) * elapsedSeconds / (elapsedSeconds + LagSeconds);
        _mostAsked = Math.Max(
            command,
            _mostAsked + (command - _mostAsked) * elapsedSeconds / (elapsedSeconds + DriveSeconds)
        );
        Percent = Math.Max(Percent, 100 * (_unwind / _mostAsked - 1));
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Surp"u8);
        _unwind = ledger.Keep(_unwind);
        _mostAsked = ledger.Keep(_mostAsked);
        Percent = ledger.Keep(Percent);
    }
}
