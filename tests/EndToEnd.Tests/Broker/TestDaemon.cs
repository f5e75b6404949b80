using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Telemetry;
using Dancerwatch.EdgeAgent.Tests;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Warnings;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EndToEnd.Tests.Broker;

/// <summary>The publishing half of the daemon, with one machine, read once, whose events the test raises.</summary>
internal sealed class TestDaemon : IAsyncDisposable
{
    private static readonly TimeSpan s_limit = TimeSpan.FromSeconds(20);
    private static readonly MachinePlace s_place = new("leafside", "tea-hall", "line-1", "tea-1");
    private static readonly MachineSettings s_machine = new()
    {
        Fill = new FillSettings { GapAtEmpty = 600, GapAtFull = 3_500 },
    };

    private readonly EventOutbox _outbox = EventOutbox.InMemory(
        capacity: 100,
        "/leafside/tea-hall/agents/dancerwatch",
        TimeProvider.System,
        NullLogger.Instance
    );
    private readonly RecordingLogger<MqttPublisher> _log = new();
    private readonly CancellationTokenSource _stop = new();
    private readonly Task _publishing;

    public TestDaemon(MqttSettings settings)
    {
        MonotonicClock clock = new(TimeProvider.System);
        MachineWatch watch = new(s_place, s_machine, clock.ToWallClock, _outbox);
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
        MqttPublisher publisher = new(
            agent,
            settings,
            () => [watch],
            _outbox,
            new AgentTelemetry(clock),
            clock,
            _log
        );
        _publishing = publisher.RunAsync(_stop.Token);
    }

    /// <summary>Events the broker has not acknowledged.</summary>
    public long Waiting => _outbox.Waiting;

    /// <summary>All that was logged, details included.</summary>
    public IEnumerable<string> Log => _log.Entries.Select(entry => entry.Text);

    /// <summary>The first warning or error with this in it; waits for it.</summary>
    public Task<string> TroubleAsync(string part = "") => LoggedAsync(part, LogLevel.Warning);

    /// <summary>The first line of the log with this in it; waits for it.</summary>
    public Task<string> LoggedAsync(string part, LogLevel least = LogLevel.Information) =>
        Eventually.GetAsync(
            () =>
                _log
                    .Entries.FirstOrDefault(entry =>
                        entry.Level >= least && entry.Text.Contains(part, StringComparison.Ordinal)
                    )
                    .Text,
            $"\"{part}\" in the log",
            seconds: 30
        );

    public void Raise(int step) => _outbox.Raise(Event(step));

    public async Task StopAsync()
    {
        await _stop.CancelAsync();
        await _publishing.WaitAsync(s_limit);
    }

    public async ValueTask DisposeAsync()
    {
        await StopAsync();
        await _outbox.DisposeAsync();
        _stop.Dispose();
    }

    private static MachineEvent Event(int step) =>
        new(
            s_place,
            OnsetMilliseconds: 1_795_595_400_250,
            Milliseconds: 1_795_595_400_250,
            new ConditionTransition
            {
                Ticks = 0,
                OnsetTicks = 0,
                Step = step,
                Condition = Condition.LimitApproach,
                State = ConditionState.Raised,
                Priority = Priority.High,
                Side = Side.Full,
                FillPercent = 88,
                MarginPercent = 6,
                SecondsToLimit = 4,
                Probability = 0.9,
                FrequencyHz = double.NaN,
                AmplitudePercent = double.NaN,
                Causes = default,
                Evidence = "Fill rose 31 % in 2.1 s.",
                Check = "Look at the spindle brake, with the machine stopped and locked off.",
            }
        );
}
