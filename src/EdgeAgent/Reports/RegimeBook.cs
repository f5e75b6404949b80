using Dancerwatch.Signals;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.EdgeAgent.Reports;

/// <summary>Hours of what the machine did, before and after a moment, and each time it stood.</summary>
/// <param name="change">The moment, ms since 1970-01-01 UTC; null for none: all is before.</param>
internal sealed class RegimeBook(long? change)
{
    /// <summary>In a longer hole of the readings nobody knows what the machine did, s.</summary>
    private const double LongestHoleSeconds = 1;

    /// <summary>Shorter than this a machine pauses in its cycle, s (a judgement).</summary>
    private const double ShortestStopSeconds = 2;

    private readonly List<StopRow> _stops = [];
    private long _lastTicks = long.MinValue;
    private double _running;
    private double _standing;
    private double _tripped;
    private double _other;
    private double _runningAfter;
    private long _stoppedAt = -1;
    private double _stoodSeconds;
    private bool _byTrip;

    public IReadOnlyList<StopRow> Stops
    {
        get
        {
            EndStop();
            return _stops;
        }
    }

    public ReportHours Hours => new(Of(_running), Of(_standing), Of(_tripped), Of(_other));

    /// <summary>Hours of running before the change, and after it.</summary>
    public (double Before, double After) Running => ((_running - _runningAfter) / 3600, _runningAfter / 3600);

    public void Take(Assessment a, Func<long, long> milliseconds)
    {
        double elapsed =
            _lastTicks == long.MinValue ? 0 : (double)(a.Ticks - _lastTicks) / TimeSpan.TicksPerSecond;
        _lastTicks = a.Ticks;
        if (elapsed > LongestHoleSeconds)
            elapsed = 0;
        switch (a.Regime.Regime)
        {
            case Regime.Running:
                _running += elapsed;
                if (change is { } moment && milliseconds(a.Ticks) >= moment)
                    _runningAfter += elapsed;
                EndStop();
                break;
            case Regime.Tripped:
                _tripped += elapsed;
                Stand(a, elapsed, milliseconds);
                _byTrip = true;
                break;
            case Regime.Stopped or Regime.RollChange:
                _standing += elapsed;
                Stand(a, elapsed, milliseconds);
                break;
            default:
                _other += elapsed;
                break;
        }
    }

    private void Stand(Assessment a, double elapsed, Func<long, long> milliseconds)
    {
        if (_stoppedAt < 0)
            _stoppedAt = milliseconds(a.Ticks);
        _stoodSeconds += elapsed;
    }

    private void EndStop()
    {
        if (_stoppedAt >= 0 && _stoodSeconds >= ShortestStopSeconds)
            _stops.Add(new StopRow(_stoppedAt, Math.Round(_stoodSeconds, 1), _byTrip));
        (_stoppedAt, _stoodSeconds, _byTrip) = (-1, 0, false);
    }

    private static double Of(double seconds) => Math.Round(seconds / 3600, 4);
}
