using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Bench.WarningQuality.Watchers;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.Speed.Traces;

/// <summary>
/// Readings of one running virtual machine, held in memory and taken over and over, each round later than the one before:
/// hours of running from minutes of trace. Unevenly timed, as polls are.
/// </summary>
internal sealed class Trace
{
    private const double JitterSeconds = 0.004;
    private const double ChangeRollAtMeters = 15;

    private readonly Reading[] _readings;
    private readonly long _roundTicks;
    private int _next;
    private long _shift;

    private Trace(MachineSettings settings, Reading[] readings)
    {
        Settings = settings;
        _readings = readings;
        _roundTicks =
            readings[^1].Ticks - readings[0].Ticks + (long)(settings.PollSeconds * TimeSpan.TicksPerSecond);
    }

    public MachineSettings Settings { get; }

    public int Length => _readings.Length;

    /// <param name="seconds">Of running, s.</param>
    /// <param name="readsAll">All signals, else gap and unwind speed alone.</param>
    /// <param name="fault">What is wrong from the first reading on; null for a healthy machine.</param>
    /// <param name="pollSeconds">Between two readings, s.</param>
    public static Trace Record(double seconds, bool readsAll, Fault? fault = null, double pollSeconds = 0.02)
    {
        MachineParameters machine = new();
        FaultSchedule[] faults = fault is { } f ? [new FaultSchedule(f, 0, 1, 0.3)] : [];
        VirtualDancer dancer = new(machine, seed: 1, faults);
        Random random = new(1);
        Reading[] readings = new Reading[(int)(seconds / pollSeconds)];
        dancer.Start();
        dancer.Advance(30);
        for (int i = 0; i < readings.Length; i++)
        {
            dancer.Advance(pollSeconds * (1 + ((2 * random.NextDouble()) - 1) * JitterSeconds / 0.02));
            if (dancer.Truth.RollMeters < ChangeRollAtMeters)
                dancer.ChangeRoll(machine.RollDiameterMillimeters);
            readings[i] = (readsAll ? Feed.All : Feed.Two).Read(
                (long)(dancer.TimeSeconds * TimeSpan.TicksPerSecond),
                dancer.Image
            );
        }
        return new Trace(new WatcherSettings(machine).Settings with { PollSeconds = pollSeconds }, readings);
    }

    /// <summary>Begins anew.</summary>
    public void Rewind() => (_next, _shift) = (0, 0);

    /// <summary>The next reading.</summary>
    public Reading Next()
    {
        Reading reading = _readings[_next];
        long ticks = reading.Ticks + _shift;
        if (++_next == _readings.Length)
            (_next, _shift) = (0, _shift + _roundTicks);
        return reading with { Ticks = ticks };
    }
}
