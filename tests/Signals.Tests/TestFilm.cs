using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Tests;

/// <summary>Readings of a machine that runs as told: 60 cycles a minute, 12 m/min, 1.5 m stored, read every 20 ms.</summary>
internal sealed class TestFilm
{
    public const double PollSeconds = 0.02;

    public static MachineSettings Settings { get; } =
        new()
        {
            Fill = new FillSettings
            {
                GapAtEmpty = 600,
                GapAtFull = 3500,
                StorageMillimeters = 1500,
            },
        };

    private long _ticks = TimeSpan.TicksPerSecond;

    /// <summary>Seconds since the first reading.</summary>
    public double Seconds => (double)_ticks / TimeSpan.TicksPerSecond - 1;

    /// <summary>Lets time pass without a reading.</summary>
    public void Skip(double seconds) => _ticks += (long)(seconds * TimeSpan.TicksPerSecond);

    /// <summary>A reading one poll later; the fill swings by 3 % a cycle about <paramref name="fill"/>. A cycle draws 0.2 m.</summary>
    public Reading Next(double fill, double unwind = 12, double running = 1, double line = 12)
    {
        Skip(PollSeconds);
        double swing = running > 0 ? 3 * Math.Sin(2 * Math.PI * Seconds) : 0;
        SignalValues values = SignalValues.Unknown;
        values[Signal.Gap] = Math.Round(600 + 29 * (fill + swing));
        values[Signal.UnwindSpeed] = unwind;
        values[Signal.UnwindCommand] = unwind;
        values[Signal.LineSpeed] = line * running;
        values[Signal.CycleRate] = line / 0.2 * running;
        values[Signal.Running] = running;
        values[Signal.TargetFill] = 50;
        values[Signal.GapAtEmpty] = 600;
        values[Signal.GapAtFull] = 3500;
        return new Reading(_ticks, values, Quality.Good);
    }

    public Reading NextFailed()
    {
        Skip(PollSeconds);
        return Reading.Failed(_ticks);
    }
}
