using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Polling;

/// <summary>Tells of missed polls at once when they begin, then at most once a minute with their number.</summary>
internal sealed class MissedPolls(string controller, ILogger logger)
{
    private const long QuietTicks = TimeSpan.TicksPerMinute;

    private long _untold;
    private long _lastTold = -QuietTicks;

    /// <param name="missed">Polls missed since the last call; 0 for none.</param>
    /// <param name="now">Monotonic ticks of 100 ns.</param>
    public void Count(long missed, long now)
    {
        _untold += missed;
        if (_untold == 0 || now - _lastTold < QuietTicks)
            return;
        logger.PollsMissed(_untold, controller);
        _untold = 0;
        _lastTold = now;
    }
}
