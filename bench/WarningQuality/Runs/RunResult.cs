using Dancerwatch.Bench.WarningQuality.Scenarios;
using Dancerwatch.Bench.WarningQuality.Watchers;
using Dancerwatch.Signals.Fill;
using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.Runs;

/// <summary>The machine tripped.</summary>
/// <param name="Seconds">When.</param>
/// <param name="Side">Where.</param>
/// <param name="FreshFrom">A warning of it is fresh from here on, s: its fault had begun, and the machine was not started since.</param>
/// <param name="WasUnderWay">The trip's own timer ran from the start on: nothing could have warned after it.</param>
internal sealed record Trip(double Seconds, Side Side, double FreshFrom, bool WasUnderWay);

/// <summary>What became of one run, and what each watcher said of it.</summary>
/// <param name="scenario">What was run.</param>
/// <param name="seed">Of what.</param>
/// <param name="machine">On which machine.</param>
/// <param name="fault">What went wrong, and when.</param>
internal sealed class RunResult(Scenario scenario, int seed, MachineParameters machine, FaultSchedule? fault)
{
    private readonly Dictionary<string, AlertBook> _books = [];

    public Scenario Scenario => scenario;
    public int Seed => seed;
    public MachineParameters Machine => machine;
    public FaultSchedule? Fault => fault;
    public List<Trip> Trips { get; } = [];
    public double EndSeconds { get; set; }

    /// <summary>From here on the readings differ from those of the same machine without the fault, s; NaN where they never did.</summary>
    public double VisibleSeconds { get; set; } = double.NaN;

    /// <summary>From here on nothing is wrong any more, s; infinity: it stays wrong.</summary>
    public double MendedSeconds { get; set; } = double.PositiveInfinity;

    /// <summary>Time without a fault, s.</summary>
    public double HealthySeconds =>
        fault is null ? EndSeconds : fault.StartSeconds + Math.Max(0, EndSeconds - MendedSeconds);

    public AlertBook Of(string watcher) => _books[watcher];

    public IReadOnlyList<Alert> AlertsOf(string watcher) => _books[watcher].Alerts;

    /// <summary>The first warning of a trip that is fresh and names its side; null where there was none.</summary>
    public Alert? Fresh(string watcher, Trip trip) =>
        AlertsOf(watcher)
            .FirstOrDefault(a =>
                (!a.IsTrue || fault?.Fault == VirtualMachine.Faults.Fault.RollEnding)
                && a.Seconds > trip.FreshFrom
                && a.Seconds < trip.Seconds
                && a.Side == trip.Side
            );

    /// <summary>Warnings while nothing was wrong.</summary>
    public IEnumerable<Alert> False(string watcher) =>
        AlertsOf(watcher).Where(a => IsHealthyAt(a.Seconds) && !a.IsTrue);

    private bool IsHealthyAt(double seconds) =>
        fault is null || seconds < fault.StartSeconds || seconds > MendedSeconds;

    public void Add(IWatcher watcher)
    {
        foreach (AlertBook book in watcher.Books)
            _books[book.Name] = book;
    }
}
