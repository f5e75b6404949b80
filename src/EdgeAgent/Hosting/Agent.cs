using System.Globalization;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Polling;
using Dancerwatch.EdgeAgent.Telemetry;
using Dancerwatch.EdgeAgent.Watching;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>
/// The whole daemon for one configuration: a poll loop for each controller, a watch for each machine, one outbox, one
/// publisher. A controller or broker that is away costs what comes from it and nothing else.
/// </summary>
public sealed class Agent : IAsyncDisposable
{
    private readonly List<ITagReader> _readers = [];
    private readonly List<ControllerPoller> _pollers = [];
    private readonly List<MachineWatch> _watches = [];
    private readonly AgentTelemetry _telemetry;
    private readonly EventOutbox? _outbox;
    private readonly MqttPublisher? _publisher;
    private readonly TraceRecorder? _recorder;
    private readonly ILogger<Agent> _logger;

    /// <param name="recordDirectory">Directory for a recording of every reading; null for none. Made where it is not there.</param>
    /// <exception cref="IOException">The recording cannot be made, or the state directory cannot be used.</exception>
    public Agent(
        AgentSettings settings,
        TimeProvider time,
        ILoggerFactory loggers,
        string? recordDirectory = null
    )
    {
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(time);
        MonotonicClock clock = new(time);
        _logger = loggers.CreateLogger<Agent>();
        _telemetry = new AgentTelemetry(time);
        if (recordDirectory is not null)
            _recorder = Recorder(recordDirectory, settings.Machines, clock);
        if (settings.Mqtt is { } mqtt)
        {
            _outbox = Outbox(settings, mqtt, time, loggers);
            _telemetry.Watch(_outbox);
        }
        IEventSink events = new AnnouncedEvents(_outbox, _logger);
        foreach (ControllerSettings controller in settings.Controllers)
            AddController(settings, controller, clock, events, loggers);
        if (settings.Mqtt is not null)
        {
            _publisher = new MqttPublisher(
                settings,
                settings.Mqtt,
                _watches,
                _outbox!,
                _telemetry,
                clock,
                loggers.CreateLogger<MqttPublisher>()
            );
        }
    }

    /// <summary>The machines that are watched.</summary>
    public IReadOnlyList<MachineWatch> Watches => _watches;

    /// <summary>Watches until <paramref name="cancellation"/>, then says goodbye to the broker and returns.</summary>
    /// <remarks>Any exception is a fault of the program: it must end, so that its supervisor starts it anew.</remarks>
    public async Task RunAsync(CancellationToken cancellation)
    {
        _logger.Watching(
            _watches.Count,
            _pollers.Count,
            _publisher is null ? "nothing is published" : "publishing"
        );
        using CancellationTokenSource end = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        List<Task> loops =
        [
            .. _pollers.Select(poller => Task.Run(() => poller.RunAsync(end.Token), default)),
        ];
        if (_outbox is not null)
            loops.Add(_outbox.RunAsync(end.Token));
        if (_publisher is not null)
            loops.Add(Task.Run(() => _publisher.RunAsync(end.Token), default));

        // No loop ends by itself. Where one does, it failed, and the others must not make believe that all is watched.
        await Task.WhenAny(loops);
        await end.CancelAsync();
        await Task.WhenAll(loops);
        _logger.Stopped();
    }

    public async ValueTask DisposeAsync()
    {
        foreach (ITagReader reader in _readers)
            await reader.DisposeAsync();
        if (_recorder is not null)
        {
            await _recorder.DisposeAsync();
            _logger.Recorded(_recorder.Recorded, _recorder.Dropped, _recorder.Trouble ?? "complete");
        }
        if (_outbox is not null)
            await _outbox.DisposeAsync();
        _telemetry.Dispose();
    }

    private void AddController(
        AgentSettings settings,
        ControllerSettings controller,
        MonotonicClock clock,
        IEventSink events,
        ILoggerFactory loggers
    )
    {
        WatchedMachineSettings[] machines =
        [
            .. settings.Machines.Where(machine => machine.Controller == controller.Name),
        ];
        if (machines.Length == 0)
        {
            _logger.ControllerWithoutMachines(controller.Name);
            return;
        }
        IReadOnlyList<TagRequest> tags = ReadingSource.TagsOf(machines);
        List<ISnapshotSink> feeds = [];
        foreach (WatchedMachineSettings machine in machines)
        {
            MachineWatch watch = new(
                MachinePlace.Of(settings, machine),
                machine.Machine,
                clock.ToWallClock,
                events
            );
            _watches.Add(watch);
            int place = settings.Machines.TakeWhile(other => other != machine).Count();
            feeds.Add(new MachineFeed(new ReadingSource(machine, tags), watch, _recorder, place));
        }
        ITagReader reader = TagReaders.Create(controller, tags, clock, loggers);
        _readers.Add(reader);
        _pollers.Add(
            new ControllerPoller(
                controller.Name,
                reader,
                TimeSpan.FromMilliseconds(controller.PollMilliseconds),
                clock,
                feeds,
                _telemetry,
                loggers.CreateLogger<ControllerPoller>()
            )
        );
    }

    private static EventOutbox Outbox(
        AgentSettings settings,
        MqttSettings mqtt,
        TimeProvider time,
        ILoggerFactory loggers
    )
    {
        string source = Topics.AgentSource(settings.Site, settings.Area, mqtt.ClientId);
        ILogger<EventOutbox> logger = loggers.CreateLogger<EventOutbox>();
        if (settings.StateDirectory is { } directory)
            return EventOutbox.OnDisk(directory, settings.Outbox, source, time, logger);
        loggers.CreateLogger<Agent>().NothingSurvives();
        return EventOutbox.InMemory(settings.Outbox.MemoryEvents, source, time, logger);
    }

    private static TraceRecorder Recorder(
        string directory,
        IReadOnlyList<WatchedMachineSettings> machines,
        MonotonicClock clock
    )
    {
        Directory.CreateDirectory(directory);
        string stamp = clock.Time.GetUtcNow().ToString("yyyyMMdd'T'HHmmss'Z'", CultureInfo.InvariantCulture);
        return new TraceRecorder(Path.Combine(directory, $"readings-{stamp}.csv"), machines, clock);
    }
}
