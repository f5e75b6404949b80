using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.FilmPath;

/// <summary>
/// Sudden reversals: the dancer, its cycle's own swing taken out, goes one way and within seconds the other, each time
/// faster than it usually does. Its speed is the step from one block's mean to the next: blocks span whole cycles
/// (<see cref="FilmBlock"/>), so the cycle's jerk leaves nothing but what differs from cycle to cycle, and that is what
/// "usually" measures. O(1) a block.
/// </summary>
internal sealed class ReversalCounter
{
    /// <summary>From one way to the other within this, s: slower is a swing, not a reversal.</summary>
    private const double SuddenSeconds = 5;

    /// <summary>Slower movement upsets no film, whatever is usual, %/s.</summary>
    private const double LeastSpeed = 2;

    /// <summary>Times the usual speed: a sine's peak is 1.6 times its mean, so a steady residue of the cycle stays below.</summary>
    private const double UsualFactor = 3;

    /// <summary>What is usual is learned so fast at first, then followed so slowly, s.</summary>
    private const double LearnSeconds = 60;
    private const double FollowSeconds = 3600;

    private double _meanBefore = double.NaN;
    private double _secondsBefore;
    private double _usual = double.NaN;
    private double _seenSeconds;
    private double _beyondSeconds = double.NegativeInfinity;
    private int _way;

    /// <summary>Speed from which on a movement counts, %/s.</summary>
    public double Threshold => Math.Max(LeastSpeed, UsualFactor * (double.IsNaN(_usual) ? 0 : _usual));

    /// <summary>What comes does not follow on what was.</summary>
    public void Break()
    {
        _way = 0;
        _meanBefore = double.NaN;
    }

    /// <summary>Another product: what was usual is no longer.</summary>
    public void Forget()
    {
        Break();
        _usual = double.NaN;
        _seenSeconds = 0;
    }

    /// <returns>True where the dancer has reversed since the block before.</returns>
    public bool Add(in FilmBlock block)
    {
        double speed = (block.MeanFill - _meanBefore) / (block.Seconds - _secondsBefore);
        (_meanBefore, _secondsBefore) = (block.MeanFill, block.Seconds);
        if (double.IsNaN(speed))
            return false;
        double threshold = Threshold;
        bool isLearned = _seenSeconds >= LearnSeconds;
        // What counts as too fast does not become usual, once something is.
        if (!isLearned || Math.Abs(speed) <= threshold)
            Learn(block.DurationSeconds, Math.Abs(speed), isLearned ? FollowSeconds : _seenSeconds);
        int way = Math.Abs(speed) > threshold ? Math.Sign(speed) : 0;
        if (way == 0 || !isLearned)
            return false;
        bool reversed = way == -_way && block.Seconds - _beyondSeconds <= SuddenSeconds;
        (_way, _beyondSeconds) = (way, block.Seconds);
        return reversed;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Rvrs"u8);
        _meanBefore = ledger.Keep(_meanBefore);
        _usual = ledger.Keep(_usual);
        _seenSeconds = ledger.Keep(_seenSeconds);
        _way = ledger.Keep(_way);
        _secondsBefore = ledger.Seconds(_secondsBefore);
        _beyondSeconds = ledger.Seconds(_beyondSeconds);
    }

    private void Learn(double seconds, double speed, double overSeconds)
    {
        _seenSeconds += seconds;
        _usual = double.IsNaN(_usual) ? speed : _usual + seconds / (overSeconds + seconds) * (speed - _usual);
    }
}
