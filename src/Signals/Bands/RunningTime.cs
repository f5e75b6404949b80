using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Bands;

/// <summary>
/// Time that counts: the sum of the steps between readings. A step longer than <see cref="LongestStepSeconds"/> is a stop,
/// or a hole in the readings, and counts as one poll, so that hours of standing still push nothing out of a window.
/// </summary>
internal sealed class RunningTime(double pollSeconds)
{
    private readonly long _pollTicks = (long)(pollSeconds * TimeSpan.TicksPerSecond);
    private readonly long _longestStepTicks = (long)(
        Math.Max(LongestStepSeconds, 3 * pollSeconds) * TimeSpan.TicksPerSecond
    );
    private long _lastTicks;
    private bool _isStarted;

    /// <summary>Longest step between readings that counts in full, s; three polls where the poll is slow.</summary>
    public const double LongestStepSeconds = 1;

    /// <summary>Running time so far, ticks of 100 ns.</summary>
    public long Ticks { get; private set; }

    /// <summary>Steps to a reading. False, and nothing happens, where its time does not move forward.</summary>
    public bool StepTo(long ticks)
    {
        if (!_isStarted)
        {
            _isStarted = true;
            _lastTicks = ticks;
            return true;
        }
        long step = ticks - _lastTicks;
        if (step <= 0)
            return false;
        _lastTicks = ticks;
        Ticks += step <= _longestStepTicks ? step : _pollTicks;
        return true;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("RunT"u8);
        _lastTicks = ledger.Ticks(_lastTicks);
        _isStarted = ledger.Keep(_isStarted);
        Ticks = ledger.Keep(Ticks);
    }
}
