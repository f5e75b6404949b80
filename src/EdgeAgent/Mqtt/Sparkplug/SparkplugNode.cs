using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using Dancerwatch.EdgeAgent.Watching;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>
/// Publishes what the watches know as a Sparkplug B edge node with a device for each machine, over a connection of its own.
/// What it says is <see cref="EdgeNode"/>'s; here it is sent, and hosts are listened to. It has one command, to say all births
/// again, and none for devices.
/// </summary>
internal sealed class SparkplugNode : IBrokerSession, IDisposable
{
    private readonly SparkplugSettings _settings;
    private readonly Func<IReadOnlyList<MachineWatch>> _watches;
    private readonly EventOutbox _outbox;
    private readonly MonotonicClock _clock;
    private readonly ILogger _logger;
    private readonly ConnectionNumbers _numbers;
    private readonly HostWords _hosts;
    private readonly EdgeNode _node;
    private readonly MessageDelivery _delivery;
    private readonly BrokerConnection _connection;
    private int _number = -1;
    private bool _isBorn;

    /// <param name="watches">Asked for the machines that are watched now.</param>
    /// <param name="outbox">Events for this node alone.</param>
    /// <param name="folder">Where the number of the connection is kept; null for nowhere.</param>
    /// <exception cref="IOException">The folder cannot be used.</exception>
    public SparkplugNode(
        SparkplugSettings settings,
        Func<IReadOnlyList<MachineWatch>> watches,
        EventOutbox outbox,
        IStateFolder? folder,
        MonotonicClock clock,
        ILogger<SparkplugNode> logger
    )
    {
        _settings = settings;
        _watches = watches;
        _outbox = outbox;
        _clock = clock;
        _logger = logger;
        _numbers = new ConnectionNumbers(folder);
        SparkplugTopics topics = new(settings.GroupId, settings.EdgeNodeId);
        _hosts = new HostWords(settings, topics, Counters, logger, clock.Time);
        _node = new EdgeNode(topics, settings.Aliases ? new AliasBook() : null, Counters, clock);
        PublisherLog log = new(settings, Counters, logger);
        _delivery = new MessageDelivery(log, clock.Time);
        _connection = new BrokerConnection(settings, this, log, clock.Time);
    }

    public NodeCounters Counters { get; } = new();

    /// <summary>Publishes until <paramref name="cancellation"/>; then tells the hosts that the node is there no more.</summary>
    public Task RunAsync(CancellationToken cancellation) => _connection.RunAsync(cancellation);

    public void Dispose()
    {
        _numbers.Dispose();
        _hosts.Dispose();
    }

    LastWill IBrokerSession.NextWill(bool lastArrived)
    {
        _isBorn = false;
        // No number is used up by a broker that is not there.
        if (lastArrived || _number < 0)
        {
            _number = _numbers.Next(out string? trouble);
            if (trouble is not null)
                _logger.NumberNotKept(_settings.NodeName, trouble);
        }
        NodeMessage death = _node.Death(_number);
        return new LastWill(death.Topic, death.Payload) { IsAlwaysSaid = true };
    }

    async Task IBrokerSession.RunAsync(BrokerLink link, CancellationToken cancellation)
    {
        await _hosts.ListenAsync(link, cancellation);
        if (_settings.PrimaryHost is { } host)
            await IsOnlineAsync(host, cancellation);
        _hosts.Rebirths.Forget();
        await SayBirthsAsync(link, cancellation);
        _logger.NodeBorn(_settings.NodeName, _settings.Place, _number);
        await PublishAsync(link, cancellation);
    }

    Task IBrokerSession.SayGoodbyeAsync(BrokerLink link, bool forGood, CancellationToken cancellation)
    {
        Counters.BrokerConnected(false);
        // Nothing comes before a birth. The will is said in any case, and does no harm.
        if (!_isBorn)
            return Task.CompletedTask;
        NodeMessage death = _node.Death(_number);
        return _delivery.PublishAsync(link, Messages.Death(death.Topic, death.Payload), cancellation);
    }

    /// <summary>Publishes what changes and what happens, until the connection is to end or the primary host is gone.</summary>
    private async Task PublishAsync(BrokerLink link, CancellationToken cancellation)
    {
        using PeriodicTimer timer = new(TimeSpan.FromSeconds(_settings.IntervalSeconds), _clock.Time);
        Task tick = timer.WaitForNextTickAsync(cancellation).AsTask();
        Task<OutboxEntry> happened = _outbox.PeekAsync(cancellation).AsTask();
        Task heard = _hosts.Heard.WaitAsync(cancellation);
        while (!_hosts.Primary.HasLeft)
        {
            if (_hosts.Rebirths.TryTake())
                await SayBirthsAsync(link, cancellation);
            Task[] reasons = _hosts.Rebirths.Wait() is { } wait
                ? [tick, happened, heard, Task.Delay(wait, _clock.Time, cancellation)]
                : [tick, happened, heard];
            await await Task.WhenAny(reasons);
            if (happened.IsCompleted)
            {
                await TellAsync(link, await happened, cancellation);
                happened = _outbox.PeekAsync(cancellation).AsTask();
            }
            if (tick.IsCompleted)
            {
                await SendAsync(link, _node.Changes(States()), cancellation);
                tick = timer.WaitForNextTickAsync(cancellation).AsTask();
            }
            if (heard.IsCompleted)
                heard = _hosts.Heard.WaitAsync(cancellation);
        }
        _logger.HostLeft(_settings.NodeName, _settings.PrimaryHost!);
    }

    private async Task SayBirthsAsync(BrokerLink link, CancellationToken cancellation)
    {
        _isBorn = true;
        await SendAsync(link, _node.Birth(_number, States()), cancellation);
        Counters.Born();
    }

    /// <summary>Sends what happened, and lets go of it once the broker has read it; where the connection breaks before, it is sent again.</summary>
    private async Task TellAsync(BrokerLink link, OutboxEntry entry, CancellationToken cancellation)
    {
        long offered = _clock.Ticks;
        await SendAsync(link, _node.Tell(entry), cancellation);
        // At once, so that the conditions of the machine do not lag behind the event.
        await SendAsync(link, _node.Changes(States()), cancellation);
        await _delivery.HasBeenReadAsync(link, cancellation);
        _outbox.Acknowledge(entry);
        Counters.EventPublished(
            entry.Id,
            entry.ReadingTicks is { } reading ? new EventTimes(reading, offered, _clock.Ticks) : null
        );
    }

    private async Task SendAsync(BrokerLink link, List<NodeMessage> messages, CancellationToken cancellation)
    {
        foreach (NodeMessage message in messages)
            await _delivery.PublishAsync(
                link,
                Messages.Metrics(message.Topic, message.Payload),
                cancellation
            );
        Counters.StatesPublished(messages.Count);
    }

    private async Task IsOnlineAsync(string host, CancellationToken cancellation)
    {
        string topic = SparkplugTopics.HostState(host);
        if (!_hosts.Primary.IsOnline)
            _logger.WaitsForHost(_settings.NodeName, host, topic);
        while (!_hosts.Primary.IsOnline)
            await _hosts.Heard.WaitAsync(cancellation);
    }

    private IReadOnlyList<MachineState> States() =>
        [.. _watches().Select(watch => watch.State()).OfType<MachineState>()];
}
