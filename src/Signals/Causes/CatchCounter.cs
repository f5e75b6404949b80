using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// Counts how often the unwind is suddenly held and let go again. A brake that drags, or a drive at its limit, holds the
/// unwind and does not let go; a loop that swings slows it gently; film that catches stops it at once, lets go with a jerk,
/// and catches again.
/// </summary>
internal sealed class CatchCounter
{
    /// <summary>Held: the unwind runs below this share of the least it was asked for lately.</summary>
    private const double HeldShare = 0.7;

    /// <summary>Let go: it runs above this share.</summary>
    private const double FreeShare = 0.9;

    /// <summary>From free to held within so long is sudden, s; or from one reading to the next.</summary>
    private const double SuddenSeconds = 0.3;

    /// <summary>"Lately", s: longer than a drive lags, so that a command that rises is no catch.</summary>
    private const double LatelySeconds = 3;

    /// <summary>A hold that lasts longer is no catch, s.</summary>
    private const double LongestSeconds = 4;

    /// <summary>A catch is half forgotten after this long, s.</summary>
    private const double HalfLifeSeconds = 40;

    private static readonly double s_forgetPerSecond = Math.Log(2) / HalfLifeSeconds;

    private bool _isHeld;
    private double _heldSeconds;
    private double _slowedSeconds; // since it was seen free

    /// <summary>The least asked for lately, m/min; grows from 0 after a start; NaN where it is not known.</summary>
    public double LeastAsked { get; private set; }

    /// <summary>Catches, the older ones counting less: about those of the last minute.</summary>
    public double Recent { get; private set; }

    /// <summary>Takes a reading; O(1), nothing allocated.</summary>
    /// <param name="unwind">Unwind speed, m/min.</param>
    /// <param name="command">Speed asked of it, m/min; NaN where unknown: nothing is counted.</param>
    public void Add(double elapsedSeconds, double unwind, double command)
    {
        Recent *= Math.Max(0, 1 - (s_forgetPerSecond * elapsedSeconds));
        if (!double.IsFinite(unwind) || !double.IsFinite(command))
        {
            _isHeld = false;
            _slowedSeconds = SuddenSeconds;
            LeastAsked = double.NaN;
            return;
        }
        if (double.IsNaN(LeastAsked))
            LeastAsked = command;
        LeastAsked += (command - LeastAsked) * elapsedSeconds / (elapsedSeconds + LatelySeconds);
        LeastAsked = Math.Min(LeastAsked, command);
        bool isFree = unwind > FreeShare * LeastAsked;
        if (_isHeld)
        {
            _heldSeconds += elapsedSeconds;
            if (!isFree)
                return;
            if (_heldSeconds < LongestSeconds)
                Recent++;
            _isHeld = false;
        }
        else if (unwind < HeldShare * LeastAsked && _slowedSeconds < SuddenSeconds)
        {
            _isHeld = true;
            _heldSeconds = 0;
        }
        _slowedSeconds = isFree ? 0 : _slowedSeconds + elapsedSeconds;
    }

    /// <summary>What was counted is over.</summary>
    public void Clear()
    {
        Recent = 0;
        Pause();
    }

    /// <summary>The machine stops or starts: whatever the unwind does then is no catch. What was counted stays.</summary>
    public void Pause()
    {
        _isHeld = false;
        _slowedSeconds = SuddenSeconds;
        LeastAsked = 0;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Ctch"u8);
        LeastAsked = ledger.Keep(LeastAsked);
        _isHeld = ledger.Keep(_isHeld);
        _heldSeconds = ledger.Keep(_heldSeconds);
        _slowedSeconds = ledger.Keep(_slowedSeconds);
        Recent = ledger.Keep(Recent);
    }
}
