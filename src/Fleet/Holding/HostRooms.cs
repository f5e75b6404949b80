using System.Collections.Concurrent;
using System.Collections.Immutable;
using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EdgeAgent.Telemetry;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Fleet.Leases;
using Dancerwatch.Fleet.Records;
using Dancerwatch.Signals;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.Fleet.Holding;

/// <summary>What the controllers that a host holds have in common: its lease, the fleet's storage, and the way out.</summary>
internal sealed class HostRooms(
    AgentSettings settings,
    FleetSettings fleet,
    FleetStorage storage,
    HostLease lease,
    OtherLeases others,
    HostOutput output,
    MonotonicClock clock,
    AgentTelemetry telemetry,
    ILoggerFactory loggers
)
{
    private readonly TaskCompletionSource<PartDiedException> _died = new(
        TaskCreationOptions.RunContinuationsAsynchronously
    );
    private readonly ConcurrentDictionary<string, SemaphoreSlim> _turns = [];
    private readonly Lock _holding = new();
    private volatile ImmutableList<HeldController> _held = [];

    public AgentSettings Settings { get; } = settings;

    public FleetStorage Storage { get; } = storage;

    public HostLease Lease { get; } = lease;

    public OtherLeases Others { get; } = others;

    public MonotonicClock Clock { get; } = clock;

    public TimeSpan SaveInterval { get; } = fleet.SaveInterval;

    public ILogger Logger { get; } = loggers.CreateLogger<HeldController>();

    /// <summary>Where events go once they are written down.</summary>
    public IEventSink Events { get; } = output.Events;

    /// <summary>Asked whether a run of the program on some host is one of the fleet's now.</summary>
    public Func<Holder, bool> IsAlive { get; set; } = static _ => false;

    /// <summary>Makes connections; the drivers where null.</summary>
    public ReaderFactory? Readers { get; init; }

    /// <summary>Done when a part that must not end has ended.</summary>
    public Task<PartDiedException> HasDied => _died.Task;

    /// <summary>Machines that are read through a controller.</summary>
    public IReadOnlyList<WatchedMachineSettings> MachinesOf(ControllerSettings controller) =>
        [.. Settings.Machines.Where(machine => machine.Controller == controller.Name)];

    public MachineWatch Watch(WatchedMachineSettings machine, IEventSink events) =>
        new(MachinePlace.Of(Settings, machine), machine.Machine, Clock.ToWallClock, events)
        {
            Tripped = (ticks, side) =>
                output.Recorder?.Mark(machine.Name, ticks, $"{side.Code() ?? "either"}-side trip"),
        };

    public WatchedController Control(ControllerSettings controller, IReadOnlyList<WatchedMachine> machines)
    {
        TimeSpan period = TimeSpan.FromMilliseconds(controller.PollMilliseconds);
        TimeSpan longest = TimeSpan.FromMilliseconds(controller.TimeoutMilliseconds);
        return new WatchedController(
            controller,
            machines,
            Clock,
            telemetry,
            machine => output.Recorder?.For(machine, period) is { } recorder ? [recorder] : [],
            loggers,
            mayPoll: () => Lease.HoldsFor(longest),
            readers: Readers
        );
    }

    /// <summary>
    /// Waits until nobody on this host holds a controller: the lease is the host's, so that it does not keep its own from
    /// polling twice.
    /// </summary>
    /// <returns>To be disposed of once it is not held any more.</returns>
    public async Task<IDisposable> TurnAsync(string controller, CancellationToken cancellation)
    {
        SemaphoreSlim turn = _turns.GetOrAdd(controller, _ => new SemaphoreSlim(initialCount: 1));
        await turn.WaitAsync(cancellation);
        return new Turn(turn);
    }

    /// <summary>Puts an event of another host's on the way out.</summary>
    public void RaiseAgain(MachineEvent raised) => output.Outlet?.Outbox.Raise(raised);

    public void Begin(HeldController held) => Hold(list => list.Add(held));

    public void End(HeldController held) => Hold(list => list.Remove(held));

    public void NoteDelivered(string id)
    {
        // A few events a minute, and no controller knows more than its own.
        foreach (HeldController held in _held)
            held.NoteDelivered(id);
    }

    public void Died(string part, Exception? why) => _died.TrySetResult(new PartDiedException(part, why));

    private void Hold(Func<ImmutableList<HeldController>, ImmutableList<HeldController>> change)
    {
        // Together: of two that begin at once, the one that tells last would else tell of itself alone.
        lock (_holding)
        {
            _held = change(_held);
            output.Watches = [.. _held.SelectMany(held => held.Machines).Select(machine => machine.Watch)];
        }
    }

    private sealed class Turn(SemaphoreSlim turn) : IDisposable
    {
        public void Dispose() => turn.Release();
    }
}
