using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>
/// Watches a stop: from running until the machine has drawn no film for <see cref="AfterSeconds"/>. What a controller winds in
/// after that, to bring a low dancer back to its target, is no overrun.
/// </summary>
public sealed class StopWatch
{
    private const double AfterSeconds = 2;
    private const double BeforeSeconds = 5;

    private readonly List<Reading> _readings = [];
    private long _standsSince = long.MinValue;

    /// <summary>It was seen running.</summary>
    public bool HasRun { get; private set; }

    public bool IsDone { get; private set; }

    public void Next(in Reading reading)
    {
        if (IsDone || reading.Quality == Quality.Bad)
            return;
        bool draws = Drawing.Is(reading);
        HasRun |= draws;
        if (!HasRun)
            return;
        _readings.Add(reading);
        if (draws)
        {
            _standsSince = long.MinValue;
            long oldest = reading.Ticks - (long)(2 * BeforeSeconds * TimeSpan.TicksPerSecond);
            _readings.RemoveAll(one => one.Ticks < oldest);
        }
        else if (_standsSince == long.MinValue)
        {
            _standsSince = reading.Ticks;
        }
        IsDone = !draws && reading.Ticks - _standsSince >= AfterSeconds * TimeSpan.TicksPerSecond;
    }

    /// <summary>What was measured; null where it did not stop, or ran too short before.</summary>
    public Stop? Measure()
    {
        if (!IsDone)
            return null;
        List<Block> blocks = Block.Of(_readings);
        double stands = (double)(_standsSince - _readings[0].Ticks) / TimeSpan.TicksPerSecond;
        Block[] before = [.. blocks.Where(block => block.Seconds < stands - BeforeSeconds)];
        Block[] after = [.. blocks.Where(block => block.Seconds >= stands)];
        return before.Length == 0 || after.Length == 0
            ? null
            : new Stop(
                before.Average(block => block.Gap),
                after[0].Gap,
                after.Min(block => block.Gap),
                after.Max(block => block.Gap),
                after[^1].FilmMillimeters - after[0].FilmMillimeters
            );
    }
}
