using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>Watches a machine run; starts anew whenever it stops.</summary>
public sealed class RunWatch
{
    /// <summary>A run is watched for this long, s.</summary>
    public const double EnoughSeconds = 60;

    private readonly List<Reading> _readings = [];

    /// <summary>It has drawn film for so long without a stop, s.</summary>
    public double RunningSeconds { get; private set; }

    /// <summary>It stopped meanwhile.</summary>
    public bool WasStopped { get; private set; }

    public bool IsDone => RunningSeconds >= EnoughSeconds;

    public void Next(in Reading reading)
    {
        if (IsDone || reading.Quality == Quality.Bad)
            return;
        if (!Drawing.Is(reading))
        {
            WasStopped |= _readings.Count > 0;
            _readings.Clear();
            RunningSeconds = 0;
            return;
        }
        _readings.Add(reading);
        RunningSeconds = (double)(reading.Ticks - _readings[0].Ticks) / TimeSpan.TicksPerSecond;
    }

    /// <summary>What was measured; null where it did not run for long enough.</summary>
    public Run? Measure() => IsDone ? Run.Of(_readings) : null;
}
