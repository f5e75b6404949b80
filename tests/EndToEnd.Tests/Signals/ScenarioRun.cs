using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Roll;
using Dancerwatch.Signals.Warnings;
using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.EndToEnd.Tests.Signals;

/// <summary>
/// Drives one virtual machine through a scenario, reads it as an agent would (uneven, sometimes not at all) and gives each
/// reading to an assessor. The same seed gives the same run.
/// </summary>
internal sealed class ScenarioRun
{
    private const double PollSeconds = 0.02;
    private const double JitterSeconds = 0.004;

    private readonly Scenario _scenario;
    private readonly bool _onlyTwoSignals;
    private readonly MachineAssessor _assessor;
    private readonly double _lossShare;
    private double _stopAt;
    private double _startAt = double.PositiveInfinity;
    private double _nextAct;

    public ScenarioRun(Scenario scenario, int seed, bool onlyTwoSignals = false)
    {
        _scenario = scenario;
        _onlyTwoSignals = onlyTwoSignals;
        Random = new Random(seed);
        Machine = MachineParameters.Random(seed);
        FaultSchedule[] faults = scenario.Fault is { } fault
            ? [new FaultSchedule(fault, Scenario.FaultStartSeconds, scenario.GrowthSeconds)]
            : [];
        Dancer = new VirtualDancer(Machine, seed, faults);
        _assessor = new MachineAssessor(Settings(Machine));
        _lossShare = scenario.Name.StartsWith("lost", StringComparison.Ordinal) ? 0.02 : 0.005;
        _stopAt = scenario.RunSeconds;
    }

    public MachineParameters Machine { get; }
    public VirtualDancer Dancer { get; }
    public Random Random { get; }

    /// <summary>Everything that was told, in order.</summary>
    public List<ConditionTransition> Transitions { get; } = [];

    /// <summary>When the machine first tripped, s; NaN where it did not.</summary>
    public double TripSeconds { get; private set; } = double.NaN;
    public Side TripSide { get; private set; }

    /// <summary>When the fault began, s.</summary>
    public static double FaultSeconds => Scenario.FaultStartSeconds;

    /// <summary>Conditions raised, by time in s.</summary>
    public IEnumerable<ConditionTransition> Raised =>
        Transitions.Where(t => t.State == ConditionState.Raised);

    /// <summary>The first warning after the fault began and before the trip that names the trip's side; null where none did.</summary>
    public ConditionTransition? FreshRightSide =>
        Raised.FirstOrDefault(t =>
            Seconds(t) > FaultSeconds && Seconds(t) < TripSeconds && t.Side == TripSide
        );

    /// <summary>The last that was told of the machine's trouble before the trip.</summary>
    public ConditionTransition? LastBeforeTrip =>
        Transitions.LastOrDefault(t => t.State != ConditionState.Cleared && Seconds(t) < TripSeconds);

    public static double Seconds(ConditionTransition t) => (double)t.Ticks / TimeSpan.TicksPerSecond;

    /// <summary>Runs to the first trip or the scenario's end.</summary>
    public ScenarioRun ToEnd()
    {
        Dancer.Start();
        while (Dancer.TimeSeconds < _scenario.DurationSeconds && double.IsNaN(TripSeconds))
        {
            Dancer.Advance(PollSeconds + JitterSeconds * (Random.NextDouble() - 0.5));
            Act();
            Read();
            if (!Dancer.IsTripped)
                continue;
            TripSeconds = Dancer.TimeSeconds;
            TripSide = Dancer.Image.FullSideTrip ? Side.Full : Side.Empty;
        }
        return this;
    }

    /// <summary>Once, at a time.</summary>
    public void At(double seconds, Action<ScenarioRun> act)
    {
        if (Dancer.TimeSeconds >= seconds && Dancer.TimeSeconds < seconds + ActSeconds)
            act(this);
    }

    /// <summary>Again and again.</summary>
    public void Every(double seconds, Action<ScenarioRun> act) =>
        At(Math.Floor(Dancer.TimeSeconds / seconds) * seconds, act);

    /// <summary>The machine is stopped for a while, and once it stands something is done to it.</summary>
    public void While(double fromSeconds, double toSeconds, Action<ScenarioRun> act)
    {
        At(fromSeconds, r => r.Dancer.Stop());
        At(fromSeconds + 10, act);
        At(fromSeconds + 25, act);
        At(toSeconds, r => r.Dancer.Start());
    }

    private const double ActSeconds = 0.25;

    private void Act()
    {
        double now = Dancer.TimeSeconds;
        if (now >= _nextAct)
        {
            _scenario.Act?.Invoke(this);
            _nextAct += ActSeconds;
        }
        if (now >= _stopAt)
        {
            Dancer.Stop();
            _stopAt = double.PositiveInfinity;
            _startAt = now + 10 + 20 * Random.NextDouble();
        }
        if (now >= _startAt)
        {
            Dancer.Start();
            _startAt = double.PositiveInfinity;
            _stopAt = now + _scenario.RunSeconds * (0.7 + 0.6 * Random.NextDouble());
        }
    }

    private void Read()
    {
        long ticks = (long)(Dancer.TimeSeconds * TimeSpan.TicksPerSecond);
        Reading reading =
            Random.NextDouble() < _lossShare
                ? Reading.Failed(ticks)
                : new Reading(ticks, Values(Dancer.Image), Quality.Good);
        Transitions.AddRange(_assessor.Process(reading).Transitions);
    }

    private SignalValues Values(ControllerImage image)
    {
        SignalValues values = SignalValues.Unknown;
        values[Signal.Gap] = image.GapCounts;
        values[Signal.UnwindSpeed] = image.UnwindSpeed;
        if (_onlyTwoSignals)
            return values;
        values[Signal.UnwindCommand] = image.UnwindCommand;
        values[Signal.LineSpeed] = image.LineSpeed;
        values[Signal.CycleRate] = image.CycleRate;
        values[Signal.Running] = image.Running ? 1 : 0;
        values[Signal.TargetFill] = image.TargetFill;
        values[Signal.GapAtFull] = image.GapAtFull;
        values[Signal.GapAtEmpty] = image.GapAtEmpty;
        values[Signal.FullSideTrip] = image.FullSideTrip ? 1 : 0;
        values[Signal.EmptySideTrip] = image.EmptySideTrip ? 1 : 0;
        values[Signal.BrakeOn] = image.BrakeOn ? 1 : 0;
        values[Signal.BrakePressure] = image.BrakePressure;
        values[Signal.RollDiameter] = image.RollDiameter;
        values[Signal.Product] = image.Product;
        return values;
    }

    private static MachineSettings Settings(MachineParameters machine) =>
        new()
        {
            Fill = new FillSettings
            {
                GapAtEmpty = machine.GapAtEmptyCounts,
                GapAtFull = machine.GapAtFullCounts,
                TargetPercent = machine.TargetFillPercent,
                OvertravelPercent = machine.OvertravelPercent,
                TripHoldSeconds = machine.TripHoldSeconds,
                StorageMillimeters = machine.StorageMillimeters,
            },
            Roll = new RollSettings
            {
                CoreDiameterMillimeters = machine.CoreDiameterMillimeters,
                FilmThicknessMicrometers = machine.FilmThicknessMicrometers,
            },
            PollSeconds = PollSeconds,
        };
}
