using System.Buffers;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using Dancerwatch.EdgeAgent.Watching;
using Microsoft.Extensions.Logging;
using MQTTnet;
using MQTTnet.Packets;
using MQTTnet.Protocol;

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
    private readonly SparkplugTopics _topics;
    private readonly EdgeNode _node;
    private readonly MessageDelivery _delivery;
    private readonly BrokerConnection _connection;
    private readonly RebirthGate _rebirths;
    private readonly PrimaryHost? _host;
    private readonly WakeUp _heard = new();

    // What was told in the log over this connection.
    private readonly HashSet<(string Topic, NodeCommand What)> _toldIgnored = [];
    private bool _toldRefused;
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
        _topics = new SparkplugTopics(settings.GroupId, settings.EdgeNodeId);
        _node = new EdgeNode(_topics, settings.Aliases ? new AliasBook() : null, Counters, clock);
        PublisherLog log = new(settings, Counters, logger);
        _delivery = new MessageDelivery(log, clock.Time);
        _connection = new BrokerConnection(settings, this, log, clock.Time);
        _rebirths = new RebirthGate(clock.Time);
        _host = settings.PrimaryHost is null ? null : new PrimaryHost();
    }

    public NodeCounters Counters { get; } = new();

    private string Name => $"{_settings.GroupId}/{_settings.EdgeNodeId}";

    private string Broker => $"broker at {_settings.Host}:{_settings.Port}";

    /// <summary>Publishes until <paramref name="cancellation"/>; then tells the hosts that the node is there no more.</summary>
    public Task RunAsync(CancellationToken cancellation) => _connection.RunAsync(cancellation);

    public void Dispose()
    {
        _numbers.Dispose();
        _heard.Dispose();
    }

    LastWill IBrokerSession.NextWill(bool lastArrived)
    {
        _isBorn = false;
        // No number is used up by a broker that is not there.
        if (lastArrived || _number < 0)
        {
            _number = _numbers.Next(out string? trouble);
            if (trouble is not null)
                _logger.NumberNotKept(Name, trouble);
        }
        NodeMessage death = _node.Death(_number);
        return new LastWill(death.Topic, death.Payload) { IsAlwaysSaid = true };
    }

    async Task IBrokerSession.RunAsync(BrokerLink link, CancellationToken cancellation)
    {
        _host?.Forget();
        lock (_toldIgnored)
        {
            _toldIgnored.Clear();
            _toldRefused = false;
        }
        link.Client.ApplicationMessageReceivedAsync += received =>
        {
            Hear(received.ApplicationMessage);
            return Task.CompletedTask;
        };
        await ListenAsync(link, _topics.NodeCommand, cancellation);
        if (_settings.PrimaryHost is { } host)
            await HostIsOnlineAsync(link, host, cancellation);
        _rebirths.Forget();
        await SayBirthsAsync(link, cancellation);
        _logger.NodeBorn(Name, Broker, _number);
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
        Task heard = _heard.WaitAsync(cancellation);
        while (_host?.HasLeft != true)
        {
            if (_rebirths.TryTake())
                await SayBirthsAsync(link, cancellation);
            Task[] reasons = _rebirths.Wait() is { } wait
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
                heard = _heard.WaitAsync(cancellation);
        }
        _logger.HostLeft(Name, _settings.PrimaryHost!);
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
        await SendAsync(link, _node.Tell(entry), cancellation);
        // At once, so that the conditions of the machine do not lag behind the event.
        await SendAsync(link, _node.Changes(States()), cancellation);
        await _delivery.HasBeenReadAsync(link, cancellation);
        _outbox.Acknowledge(entry);
        Counters.EventPublished(
            entry.ReadingTicks is { } ticks ? TimeSpan.FromTicks(_clock.Ticks - ticks) : null
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

    private async Task HostIsOnlineAsync(BrokerLink link, string host, CancellationToken cancellation)
    {
        string topic = SparkplugTopics.HostState(host);
        await ListenAsync(link, topic, cancellation);
        if (!_host!.IsOnline)
            _logger.WaitsForHost(Name, host, topic);
        while (!_host.IsOnline)
            await _heard.WaitAsync(cancellation);
    }

    private async Task ListenAsync(BrokerLink link, string topic, CancellationToken cancellation)
    {
        MqttClientSubscribeResult answer = await link.Client.SubscribeAsync(
            new MqttClientSubscribeOptions
            {
                TopicFilters =
                [
                    new MqttTopicFilter
                    {
                        Topic = topic,
                        QualityOfServiceLevel = MqttQualityOfServiceLevel.AtLeastOnce,
                    },
                ],
            },
            cancellation
        );
        foreach (MqttClientSubscribeResultItem item in answer.Items)
        {
            if (item.ResultCode > MqttClientSubscribeResultCode.GrantedQoS2)
                _logger.ListenForbidden(
                    Broker,
                    _settings.UserName ?? _settings.ClientId,
                    topic,
                    $"{item.ResultCode}"
                );
        }
    }

    /// <summary>On the client's own thread: quick, and whatever comes, it does not throw.</summary>
    private void Hear(MqttApplicationMessage message)
    {
        byte[] payload = message.Payload.ToArray();
        if (message.Topic != _topics.NodeCommand)
        {
            if (_host?.Hear(payload) == false)
                Ignore(message, NodeCommand.NotUnderstood);
        }
        else if (CommandReader.Read(payload) is var command and not NodeCommand.Rebirth)
            Ignore(message, command);
        else if (!_rebirths.Ask())
            Refuse();
        _heard.Set();
    }

    private void Refuse()
    {
        Counters.RebirthRefused();
        lock (_toldIgnored)
        {
            if (_toldRefused)
                return;
            _toldRefused = true;
        }
        _logger.RebirthsRefused(Name, RebirthGate.Pause.TotalSeconds);
    }

    private void Ignore(MqttApplicationMessage message, NodeCommand what)
    {
        Counters.CommandIgnored();
        lock (_toldIgnored)
        {
            if (!_toldIgnored.Add((message.Topic, what)))
                return;
        }
        bool isCommand = message.Topic == _topics.NodeCommand;
        _logger.Ignored(
            Name,
            message.Topic,
            message.Payload.Length,
            what == NodeCommand.Unknown ? "a command we do not have"
                : isCommand ? "no Sparkplug B payload"
                : "no word of a host",
            isCommand ? $"{EdgeNode.Rebirth} = true" : """{"online": true or false, "timestamp": ms}"""
        );
    }

    private IReadOnlyList<MachineState> States() =>
        [.. _watches().Select(watch => watch.State()).OfType<MachineState>()];
}
