using Dancerwatch.Bench.WarningQuality.Scenarios;
using Dancerwatch.Bench.WarningQuality.Watchers;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.Runs;

/// <summary>
/// One virtual machine lives through a scenario, is read unevenly as an agent would read it, and each reading goes to all
/// watchers. The same seed gives the same run.
/// </summary>
internal sealed class MachineRun
{
    private const double PollSeconds = WatcherSettings.PollSeconds;

    /// <summary>A poll comes up to this much early or late, s.</summary>
    private const double JitterSeconds = 0.004;

    /// <summary>What is usual is learned before a fault begins, s.</summary>
    private const double LearningSeconds = 300;
    private const double ShortestGrowthSeconds = 120;
    private const double LongestGrowthSeconds = 1_800;

    /// <summary>A grown fault is watched for so long, s.</summary>
    private const double GrownSeconds = 600;

    /// <summary>A trip that comes this soon after the trip's own timer had to start was under way when the machine was started, s.</summary>
    private const double ShortestNotice = 0.5;

    /// <summary>After so many trips nobody starts the machine again.</summary>
    private const int MostTrips = 3;

    private readonly Scenario _scenario;
    private readonly Random _random;
    private readonly VirtualDancer _dancer;
    private readonly Crew _crew;
    private readonly Reads _reads;
    private readonly FaultSchedule? _fault;
    private readonly double _endSeconds;
    private readonly RunResult _result;

    /// <param name="scenario">What happens.</param>
    /// <param name="seed">Of machine, fault, people and reads.</param>
    /// <param name="healthySeconds">How long a healthy machine is watched, s.</param>
    public MachineRun(Scenario scenario, int seed, double healthySeconds)
    {
        _scenario = scenario;
        _random = new Random(seed);
        MachineParameters machine = scenario.Built(MachineParameters.Random(seed), _random);
        Settings = new WatcherSettings(machine);
        _fault = Draw(scenario, _random);
        FaultSchedule[] faults = _fault is null ? [] : [_fault];
        _dancer = new VirtualDancer(machine, seed, faults);
        _endSeconds = _fault is null
            ? healthySeconds
            : _fault.StartSeconds + (2 * _fault.GrowthSeconds) + GrownSeconds;
        _crew = new Crew(scenario, machine, _dancer, _random)
        {
            Fault = _fault,
            Twin = _fault is null ? null : new VirtualDancer(machine, seed),
        };
        _reads = new Reads(scenario.Reads, _random);
        _result = new RunResult(scenario, seed, machine, _fault);
    }

    public WatcherSettings Settings { get; }

    /// <summary>Runs to the end, all watchers looking on.</summary>
    public RunResult Run(IReadOnlyList<IWatcher> watchers)
    {
        _crew.Begin();
        bool wasTripped = false;
        while (_dancer.TimeSeconds < _endSeconds && _crew.Act())
        {
            double seconds = PollSeconds + (JitterSeconds * (2 * _random.NextDouble() - 1));
            _dancer.Advance(seconds);
            FollowTwin(seconds);
            Read(watchers);
            if (_dancer.IsTripped && !wasTripped && !NoteTrip())
                break;
            wasTripped = _dancer.IsTripped;
        }
        _result.EndSeconds = _dancer.TimeSeconds;
        _result.MendedSeconds = _crew.MendedAt;
        foreach (IWatcher watcher in watchers)
            _result.Add(watcher);
        return _result;
    }

    private static FaultSchedule? Draw(Scenario scenario, Random random)
    {
        if (scenario.Fault is not { } fault)
            return null;
        double start = LearningSeconds + (120 * random.NextDouble());
        double growth =
            scenario.Pace == Pace.Sudden
                ? 5 * random.NextDouble()
                : ShortestGrowthSeconds
                    * Math.Pow(LongestGrowthSeconds / ShortestGrowthSeconds, random.NextDouble());
        return new FaultSchedule(fault, start, growth, 0.6 + (0.7 * random.NextDouble()));
    }

    private void Read(IReadOnlyList<IWatcher> watchers)
    {
        long ticks = (long)(_dancer.TimeSeconds * TimeSpan.TicksPerSecond);
        ControllerImage? image = _reads.Next(_dancer.Image);
        Reading all = image is { } read ? Feed.All.Read(ticks, read) : Reading.Failed(ticks);
        Reading two = image is { } same ? Feed.Two.Read(ticks, same) : Reading.Failed(ticks);
        for (int i = 0; i < watchers.Count; i++)
            watchers[i].Take(watchers[i].Feed == Feed.All ? all : two, _dancer.Truth);
    }

    private void FollowTwin(double seconds)
    {
        if (_crew.Twin is not { } twin)
            return;
        twin.Advance(seconds);
        if (_dancer.TimeSeconds < _fault!.StartSeconds)
            return;
        if (!Differ(_dancer.Image, twin.Image) && !_dancer.IsTripped)
            return;
        _result.VisibleSeconds = _dancer.TimeSeconds;
        _crew.Twin = null;
    }

    /// <summary>By 2 % of the gap's span or 5 % of the line's speed: readings can tell the sick machine from the healthy one.</summary>
    private static bool Differ(in ControllerImage sick, in ControllerImage well) =>
        Math.Abs(sick.GapCounts - well.GapCounts) > 0.02 * Math.Abs(well.GapAtFull - well.GapAtEmpty)
        || Math.Abs(sick.GapAtFull - well.GapAtFull) > 0.02 * Math.Abs(well.GapAtFull - well.GapAtEmpty)
        || Math.Abs(sick.UnwindSpeed - well.UnwindSpeed) > 0.05 * well.LineSpeed;

    /// <summary>A roll ends from its first metre on: its schedule only says how much film was on it.</summary>
    private double FaultyFrom => _scenario.Fault == Fault.RollEnding ? 0 : _crew.Fault?.StartSeconds ?? 0;

    /// <returns>False where that was the last one.</returns>
    private bool NoteTrip()
    {
        _result.Trips.Add(
            new Trip(
                _dancer.TimeSeconds,
                _dancer.Image.FullSideTrip ? Side.Full : Side.Empty,
                Math.Max(FaultyFrom, _crew.RestartedAt),
                _dancer.TimeSeconds - _crew.RestartedAt < Settings.TripHoldSeconds + ShortestNotice
            )
        );
        return _result.Trips.Count < MostTrips && _scenario.Fault != Fault.RollEnding;
    }
}
