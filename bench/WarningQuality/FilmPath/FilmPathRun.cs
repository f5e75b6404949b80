using Dancerwatch.Bench.WarningQuality.Watchers;
using Dancerwatch.Signals;
using Dancerwatch.Signals.FilmPath;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.FilmPath;

/// <summary>
/// One machine through one day, up to a fixed time or its first trip, read unevenly as an agent would, and judged twice:
/// with the film's edge read and without. The same arguments give the same run.
/// </summary>
internal sealed class FilmPathRun
{
    private const double PollSeconds = WatcherSettings.PollSeconds;
    private const double JitterSeconds = 0.004;

    /// <summary>What is usual is learned before the fault begins; it grows; it stands grown before the film is judged, s.</summary>
    private const double FaultSeconds = 300;
    private const double GrowthSeconds = 300;
    private const double GrownSeconds = 300;
    private const double DecisionSeconds = FaultSeconds + GrowthSeconds + GrownSeconds;

    private const double StandSeconds = 15;
    private const double HandsSeconds = 10;
    private const double UpsetPercent = 5;

    private readonly FilmPathDay _day;
    private readonly Random _random;
    private readonly MachineParameters _machine;
    private readonly VirtualDancer _dancer;
    private readonly VirtualDancer? _twin;
    private readonly MachineAssessor _withEdge;
    private readonly MachineAssessor _withoutEdge;
    private double _stopAt;
    private double _handsAt = double.PositiveInfinity;
    private double _startAt = double.PositiveInfinity;
    private double _actAt = 120;
    private double _apart;
    private int _apartCount;
    private ControllerImage _readBefore;

    /// <param name="day">What happens.</param>
    /// <param name="seed">Of machine, people and reads.</param>
    /// <param name="severity">Of the fault, where there is one.</param>
    public FilmPathRun(FilmPathDay day, int seed, double severity)
    {
        _day = day;
        Severity = severity;
        _random = new Random(seed);
        _machine = WithEdge(day.Built(MachineParameters.Random(seed)));
        FaultSchedule[] faults = day.Fault is { } fault
            ? [new FaultSchedule(fault, FaultSeconds, GrowthSeconds, severity)]
            : [];
        _dancer = new VirtualDancer(_machine, seed, faults);
        _twin = day.Fault is null ? null : new VirtualDancer(_machine, seed);
        _withEdge = new MachineAssessor(new WatcherSettings(_machine).Settings);
        _withoutEdge = new MachineAssessor(new WatcherSettings(_machine).Settings);
        _stopAt = day.RunSeconds;
    }

    public double Severity { get; }

    /// <summary>
    /// Largest distance between the dancer and that of the same machine without the fault, means over a second, % of fill:
    /// what the fault really did, by no reading of ours.
    /// </summary>
    public double ApartPercent { get; private set; }

    /// <summary>The fault moved the dancer by 5 % of fill or more, or tripped the machine.</summary>
    public bool IsUpset => ApartPercent >= UpsetPercent || _dancer.IsTripped;

    public FilmPathEstimate WithEdgeRead { get; private set; }
    public FilmPathEstimate WithoutEdgeRead { get; private set; }

    public FilmPathRun ToDecision()
    {
        Both(dancer => dancer.Start());
        while (_dancer.TimeSeconds < DecisionSeconds)
        {
            double seconds = PollSeconds + (JitterSeconds * ((2 * _random.NextDouble()) - 1));
            _dancer.Advance(seconds);
            _twin?.Advance(seconds);
            if (_dancer.IsTripped)
                break;
            Act(_dancer.TimeSeconds);
            Compare();
            Read();
        }
        return this;
    }

    /// <summary>
    /// An upset unwind leads the edge: by 0.01 to 0.05 mm for each percent of fill, to either side, beside a wander of the
    /// film's own of 0.1 to 0.4 mm. Where the wander comes from elsewhere it is 0.3 to 2 mm, and up to 0.3 mm once a turn
    /// of the roll; the dancer leads nothing. Sizes are chosen, no source.
    /// </summary>
    private MachineParameters WithEdge(MachineParameters machine) =>
        _day.Fault is null
            ? machine with
            {
                EdgeWanderMillimeters = Between(0.3, 2),
                EdgeMillimetersPerTurn = Between(0, 0.3),
                EdgeMillimetersPerPercentOfFill = 0,
            }
            : machine with
            {
                EdgeWanderMillimeters = Between(0.1, 0.4),
                EdgeMillimetersPerPercentOfFill = Between(0.01, 0.05) * (_random.Next(2) == 0 ? -1 : 1),
            };

    private double Between(double low, double high) => low + ((high - low) * _random.NextDouble());

    private void Act(double now)
    {
        if (now >= _actAt)
        {
            _actAt += 120;
            _day.EveryTwoMinutes(_dancer, _machine, _random);
        }
        if (now >= _stopAt)
        {
            Both(dancer => dancer.Stop());
            _stopAt = double.PositiveInfinity;
            _handsAt = _day.AtStop is null ? double.PositiveInfinity : now + HandsSeconds;
            _startAt = now + StandSeconds + (_day.AtStop is null ? 0 : 45);
        }
        if (now >= _handsAt)
        {
            _handsAt = double.PositiveInfinity;
            _day.AtStop?.Invoke(_dancer, _machine, _random);
        }
        if (now >= _startAt)
        {
            Both(dancer => dancer.Start());
            _startAt = double.PositiveInfinity;
            _stopAt = now + (_day.RunSeconds * Between(0.7, 1.3));
        }
    }

    private void Both(Action<VirtualDancer> act)
    {
        act(_dancer);
        if (_twin is not null)
            act(_twin);
    }

    private void Compare()
    {
        if (_twin is null)
            return;
        _apart += _dancer.Truth.FillPercent - _twin.Truth.FillPercent;
        if (++_apartCount < 1 / PollSeconds)
            return;
        ApartPercent = Math.Max(ApartPercent, Math.Abs(_apart / _apartCount));
        _apart = _apartCount = 0;
    }

    private void Read()
    {
        long ticks = (long)(_dancer.TimeSeconds * TimeSpan.TicksPerSecond);
        ControllerImage image = _random.NextDouble() < _day.StaleShare ? _readBefore : _dancer.Image;
        _readBefore = image;
        bool isLost = _random.NextDouble() < _day.LossShare;
        SignalValues values = isLost ? SignalValues.Unknown : Values(image);
        Quality quality = isLost ? Quality.Bad : Quality.Good;
        WithEdgeRead = _withEdge.Process(new Reading(ticks, values, quality)).FilmPath;
        values[Signal.EdgePosition] = double.NaN;
        WithoutEdgeRead = _withoutEdge.Process(new Reading(ticks, values, quality)).FilmPath;
    }

    private static SignalValues Values(in ControllerImage image)
    {
        SignalValues values = SignalValues.Unknown;
        values[Signal.Gap] = image.GapCounts;
        values[Signal.UnwindSpeed] = image.UnwindSpeed;
        values[Signal.UnwindCommand] = image.UnwindCommand;
        values[Signal.LineSpeed] = image.LineSpeed;
        values[Signal.CycleRate] = image.CycleRate;
        values[Signal.Running] = image.Running ? 1 : 0;
        values[Signal.RollDiameter] = image.RollDiameter;
        values[Signal.EdgePosition] = image.EdgePosition;
        values[Signal.Product] = image.Product;
        return values;
    }
}
