using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt.Sparkplug;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EndToEnd.Tests.Broker;

/// <summary>A Sparkplug node <c>leafside/tea-hall</c> with one machine, read once.</summary>
internal sealed class TestNode : IAsyncDisposable
{
    private static readonly TimeSpan s_limit = TimeSpan.FromSeconds(20);
    private static readonly MachineSettings s_machine = new()
    {
        Fill = new FillSettings { GapAtEmpty = 600, GapAtFull = 3_500 },
    };

    private readonly EventOutbox _outbox = EventOutbox.InMemory(
        capacity: 100,
        "/leafside/tea-hall/agents/dancerwatch-sparkplug",
        TimeProvider.System,
        NullLogger.Instance
    );
    private readonly CancellationTokenSource _stop = new();
    private readonly SparkplugNode _node;
    private readonly Task _running;

    public TestNode(BrokerSettings broker)
    {
        MonotonicClock clock = new(TimeProvider.System);
        MachineWatch watch = new(
            new MachinePlace("leafside", "tea-hall", "line-1", "tea-1"),
            s_machine,
            clock.ToWallClock,
            _outbox
        );
        SignalValues values = SignalValues.Unknown;
        values[Signal.Gap] = 2_050;
        values[Signal.UnwindSpeed] = 18;
        watch.Process(new Reading(clock.Ticks, values, Quality.Good));
        _node = new SparkplugNode(
            new SparkplugSettings(broker)
            {
                GroupId = "leafside",
                EdgeNodeId = "tea-hall",
                IntervalSeconds = 0.2,
            },
            () => [watch],
            _outbox,
            folder: null,
            clock,
            NullLogger<SparkplugNode>.Instance
        );
        _running = _node.RunAsync(_stop.Token);
    }

    public Task IgnoresACommandAsync() =>
        Eventually.IsTrueAsync(() => _node.Counters.CommandsIgnored > 0, seconds: 20);

    public async Task StopAsync()
    {
        await _stop.CancelAsync();
        await _running.WaitAsync(s_limit);
    }

    public async ValueTask DisposeAsync()
    {
        await StopAsync();
        _stop.Dispose();
        _node.Dispose();
        await _outbox.DisposeAsync();
    }
}
