using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.Signals.Tests.Regimes;

/// <summary>
/// A machine told what to do for a while, read at uneven times, and what the tracker made of each reading. Fill is the gap:
/// 0 to 100. Signals left at NaN are not there.
/// </summary>
/// <param name="storageMillimeters">Film between empty and full, mm; NaN: nobody told.</param>
internal sealed class MachineScript(int seed = 1, double storageMillimeters = double.NaN)
{
    private static readonly FillSettings s_fill = new()
    {
        GapAtEmpty = 0,
        GapAtFull = 100,
        GapMinimum = -100,
        GapMaximum = 200,
        OvertravelPercent = 5,
        TripHoldSeconds = 0.5,
    };

    private readonly Random _random = new(seed);
    private readonly FillScale _scale = new(s_fill);
    private readonly RegimeTracker _tracker = new(s_fill with { StorageMillimeters = storageMillimeters });
    private SignalValues _values = SignalValues.Unknown;

    /// <summary>Bags a minute of an intermittent machine whose unwind follows its draw; 0: steady.</summary>
    public double CyclesPerMinute { get; set; }

    /// <summary>How it took film before; nobody knows where left out.</summary>
    public UsualPull Pull { get; init; }

    public double Seconds { get; private set; }

    public List<(double Seconds, RegimeEstimate Estimate)> Seen { get; } = [];

    public RegimeEstimate Last => Seen[^1].Estimate;

    /// <summary>The regimes in the order they were entered.</summary>
    public IEnumerable<Regime> Sequence => Seen.Where(s => s.Estimate.Changed).Select(s => s.Estimate.Regime);

    public double this[Signal signal]
    {
        set => _values[signal] = value;
    }

    /// <summary>Speed of the unwind, and of the line where it is read, m/min.</summary>
    public MachineScript At(double speed)
    {
        this[Signal.UnwindSpeed] = speed;
        if (!double.IsNaN(_values[Signal.LineSpeed]))
            this[Signal.LineSpeed] = speed;
        if (!double.IsNaN(_values[Signal.Running]))
            this[Signal.Running] = speed > 0 ? 1 : 0;
        return this;
    }

    public MachineScript With(Signal signal, double value)
    {
        this[signal] = value;
        return this;
    }

    /// <summary>Lets time pass, read every 10 to 30 ms.</summary>
    /// <param name="seconds">For how long.</param>
    /// <param name="fill">Fill over the seconds since this call, %; 50 where left out.</param>
    public MachineScript For(double seconds, Func<double, double>? fill = null)
    {
        double began = Seconds;
        while (Seconds - began < seconds)
        {
            Seconds += 0.01 + (0.02 * _random.NextDouble());
            SignalValues values = _values;
            values[Signal.Gap] = fill?.Invoke(Seconds - began) ?? 50;
            bool isDrawing = CyclesPerMinute == 0 || (Seconds * CyclesPerMinute / 60) % 1 < 0.5;
            if (!isDrawing)
                values[Signal.UnwindSpeed] = 0;
            Read(values);
        }
        return this;
    }

    /// <summary>Nothing is read for a while.</summary>
    public MachineScript Hole(double seconds)
    {
        Seconds += seconds;
        return this;
    }

    private void Read(in SignalValues values)
    {
        Reading reading = new((long)(Seconds * TimeSpan.TicksPerSecond), values, Quality.Good);
        Seen.Add((Seconds, _tracker.Next(reading, _scale.Next(reading), Pull)));
    }
}
