using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>Watches a start: from half a second before the machine draws film until it has for <see cref="EnoughSeconds"/>, or trips.</summary>
public sealed class StartWatch
{
    private const double EnoughSeconds = 12;
    private const double BeforeSeconds = 0.5;

    private readonly List<Reading> _readings = [];
    private long _drawsSince = long.MinValue;
    private bool _tripped;

    /// <summary>The machine has been seen to start.</summary>
    public bool HasStarted => _drawsSince != long.MinValue;

    public bool IsDone { get; private set; }

    public void Next(in Reading reading)
    {
        if (IsDone || reading.Quality == Quality.Bad)
            return;
        if (!HasStarted && Drawing.Is(reading))
            _drawsSince = reading.Ticks;
        _readings.Add(reading);
        if (!HasStarted)
        {
            long oldest = reading.Ticks - (long)(BeforeSeconds * TimeSpan.TicksPerSecond);
            _readings.RemoveAll(one => one.Ticks < oldest);
            return;
        }
        // Without tags of the trips: it stands again.
        _tripped |= Drawing.IsTripped(reading) || !Drawing.Is(reading);
        IsDone = _tripped || reading.Ticks - _drawsSince >= EnoughSeconds * TimeSpan.TicksPerSecond;
    }

    /// <summary>What was measured; null where the machine never started.</summary>
    public Start? Measure() => HasStarted ? new Start(Block.Of(_readings), _tripped) : null;
}
