using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Telemetry;
using Dancerwatch.EdgeAgent.Tests.Outbox;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt;

/// <summary>A publisher that runs, with one machine that has been read once.</summary>
internal sealed class PublisherBench : IAsyncDisposable
{
    public const string Machine = "dancerwatch/v1/leafside/tea-hall/line-1/tea-1";
    public const string Agent = "dancerwatch/v1/leafside/tea-hall/agents/dancerwatch";

    private readonly CancellationTokenSource _stop = new();
    private readonly AgentTelemetry _telemetry;
    private readonly Task _running;

    public PublisherBench(MqttSettings settings, int queueLength = 100)
    {
        MonotonicClock clock = new(TimeProvider.System);
        _telemetry = new AgentTelemetry(clock);
        Outbox = Outboxes.InMemory(queueLength, TimeProvider.System);
        MachineWatch watch = new(Machines.Tea1, Machines.Settings, clock.ToWallClock, Outbox);
        SignalValues values = SignalValues.Unknown;
        values[Signal.Gap] = 2_050;
        values[Signal.UnwindSpeed] = 18;
        watch.Process(new Reading(clock.Ticks, values, Quality.Good));
        AgentSettings agent = new()
        {
            Site = "leafside",
            Area = "tea-hall",
            Controllers = [],
            Machines = [],
        };
        MqttPublisher publisher = new(agent, settings, () => [watch], Outbox, _telemetry, clock, Logs);
        _running = publisher.RunAsync(_stop.Token);
    }

    public EventOutbox Outbox { get; }

    public RecordingLogger<MqttPublisher> Logs { get; } = new();

    public async Task StopAsync()
    {
        await _stop.CancelAsync();
        await _running.WaitAsync(TimeSpan.FromSeconds(20));
    }

    public async ValueTask DisposeAsync()
    {
        await StopAsync();
        _stop.Dispose();
        await Outbox.DisposeAsync();
        _telemetry.Dispose();
    }
}
