using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Telemetry;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Fleet.Holding;
using Dancerwatch.Fleet.Leases;
using Dancerwatch.Fleet.Records;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.Fleet.Tests.Holding;

/// <summary>A host without the others: what holds controllers there, on a storage that others may share.</summary>
internal sealed class TestHost : IAsyncDisposable
{
    private readonly HostOutput _output;
    private readonly AgentTelemetry _telemetry;
    private readonly CancellationTokenSource _end = new();
    private readonly Task _keeping;

    private TestHost(
        string name,
        AgentSettings settings,
        TestStorage shared,
        TimeProvider time,
        ReaderFactory? readers,
        Func<Holder, bool>? isAlive
    )
    {
        MonotonicClock clock = new(time);
        _telemetry = new AgentTelemetry(clock);
        FleetStorage storage = new(shared, shared);
        FleetSettings fleet = new() { Host = name, Lease = TimeSpan.FromSeconds(2) };
        Lease = new HostLease(
            storage.Host(name),
            new Holder(name, $"{Guid.NewGuid()}"),
            fleet.Lease,
            clock,
            NullLogger<HostLease>.Instance
        );
        settings = settings with
        {
            Mqtt = settings.Mqtt is { } mqtt ? mqtt with { ClientId = $"{mqtt.ClientId}-{name}" } : null,
        };
        _output = new HostOutput(
            settings,
            _telemetry,
            clock,
            NullLoggerFactory.Instance,
            id => Rooms!.NoteDelivered(id)
        );
        Rooms = new HostRooms(
            settings,
            fleet,
            storage,
            Lease,
            new OtherLeases(storage, clock),
            _output,
            clock,
            _telemetry,
            NullLoggerFactory.Instance
        )
        {
            Readers = readers,
            IsAlive = isAlive ?? (_ => false),
        };
        _output.Start(Rooms.Died);
        _keeping = KeepAsync();
    }

    public HostRooms Rooms { get; }

    public HostLease Lease { get; }

    /// <summary>The machines whose states the host publishes.</summary>
    public IReadOnlyList<MachineWatch> Watches => _output.Watches;

    public static async Task<TestHost> StartAsync(
        string name,
        AgentSettings settings,
        TestStorage storage,
        TimeProvider? time = null,
        ReaderFactory? readers = null,
        Func<Holder, bool>? isAlive = null
    )
    {
        TestHost host = new(name, settings, storage, time ?? TimeProvider.System, readers, isAlive);
        await host.Lease.Taken;
        return host;
    }

    /// <summary>Holds the first controller until it is released.</summary>
    public (HeldController Held, Task<string> Holding) Hold(CancellationToken release)
    {
        ControllerSettings controller = Rooms.Settings.Controllers[0];
        HeldController held = new(controller, Rooms.MachinesOf(controller), Rooms);
        return (held, Task.Run(() => held.HoldAsync(release), CancellationToken.None));
    }

    public async ValueTask DisposeAsync()
    {
        await _end.CancelAsync();
        await _keeping;
        await _output.DisposeAsync();
        _telemetry.Dispose();
        _end.Dispose();
    }

    private async Task KeepAsync()
    {
        await Lease.TakeAsync(_end.Token);
        await Lease.KeepAsync(_end.Token);
    }
}
