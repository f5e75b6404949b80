using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Telemetry;
using Dancerwatch.EdgeAgent.Watching;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.Fleet.Holding;

/// <summary>
/// What leaves a host: events and states over its own MQTT client, readings to its own disk. Runs whether the fleet's storage
/// is there or not: what an earlier run left in the outbox goes out first.
/// </summary>
internal sealed class HostOutput : IAsyncDisposable
{
    private static readonly TimeSpan s_lastEvents = TimeSpan.FromSeconds(2);
    private static readonly TimeSpan s_goodbye = TimeSpan.FromSeconds(3);
    private static readonly TimeSpan s_look = TimeSpan.FromMilliseconds(10);

    private readonly MonotonicClock _clock;
    private readonly CancellationTokenSource _publish = new();
    private readonly CancellationTokenSource _keep = new();
    private Task _publishing = Task.CompletedTask;
    private Task _keeping = Task.CompletedTask;
    private bool _isOver;

    /// <param name="delivered">Told each event that the broker has.</param>
    /// <exception cref="IOException">The state directory cannot be used.</exception>
    public HostOutput(
        AgentSettings settings,
        AgentTelemetry telemetry,
        MonotonicClock clock,
        ILoggerFactory loggers,
        Action<string> delivered
    )
    {
        _clock = clock;
        if (settings.Recordings.Place(settings.StateDirectory) is { } recordings)
            Recorder = new Recorder(recordings, settings.Recordings, clock, loggers.CreateLogger<Recorder>());
        Outlet = Outlet.Json(
            settings,
            () => Watches,
            telemetry,
            clock,
            loggers,
            new DeliveryNotes(telemetry, delivered)
        );
        Events = new AnnouncedEvents(
            Outlet is null ? [] : [Outlet],
            Recorder,
            loggers.CreateLogger<AnnouncedEvents>()
        );
    }

    public Outlet? Outlet { get; }

    public Recorder? Recorder { get; }

    public IEventSink Events { get; }

    /// <summary>The machines whose states are published.</summary>
    public IReadOnlyList<MachineWatch> Watches
    {
        get => Volatile.Read(ref field);
        set => Volatile.Write(ref field, value);
    } = [];

    /// <param name="died">Told if a part ends though it was not stopped.</param>
    public void Start(Action<string, Exception?> died)
    {
        _keeping = Task.WhenAll(
            PartLoop.Run("The outbox", Outlet is null ? null : Outlet.Outbox.RunAsync, died, _keep.Token),
            PartLoop.Run("The recorder", Recorder is null ? null : Recorder.RunAsync, died, _keep.Token)
        );
        _publishing = PartLoop.Run("The publisher", Outlet?.PublishAsync, died, _publish.Token);
    }

    /// <summary>Sends what waits, where that is quick; the rest is on disk.</summary>
    public async ValueTask DisposeAsync()
    {
        if (_isOver)
            return;
        _isOver = true;
        long begun = _clock.Ticks;
        while (
            Outlet is { Outbox.Waiting: > 0 } outlet
            && outlet.IsConnected()
            && _clock.Ticks - begun < s_lastEvents.Ticks
        )
            await Task.Delay(s_look, _clock.Time);
        await _publish.CancelAsync();
        await EndedAsync(_publishing);
        await _keep.CancelAsync();
        await EndedAsync(_keeping);
        if (Outlet is not null)
            await Outlet.DisposeAsync();
        if (Recorder is not null)
            await EndedAsync(Recorder.DisposeAsync().AsTask());
        _publish.Dispose();
        _keep.Dispose();
    }

    private async Task EndedAsync(Task loop) =>
        await loop.WaitAsync(s_goodbye, _clock.Time).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
}
