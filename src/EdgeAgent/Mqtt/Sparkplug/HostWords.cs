using System.Buffers;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Outbox;
using Microsoft.Extensions.Logging;
using MQTTnet;
using MQTTnet.Packets;
using MQTTnet.Protocol;

namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>
/// What hosts say to the node: the one command it has, and whether the primary host is online. Heard on the client's own
/// thread, acted upon by the node's. Whatever else comes is counted, told once a connection, and dropped.
/// </summary>
internal sealed class HostWords(
    SparkplugSettings settings,
    SparkplugTopics topics,
    NodeCounters counters,
    ILogger logger,
    TimeProvider time
) : IDisposable
{
    // What was told in the log over this connection.
    private readonly HashSet<(string Topic, NodeCommand What)> _toldIgnored = [];
    private bool _toldRefused;

    public RebirthGate Rebirths { get; } = new(time);

    public PrimaryHost Primary { get; } = new();

    /// <summary>Set when there is something new in what was heard.</summary>
    public WakeUp Heard { get; } = new();

    /// <summary>Listens over a new connection.</summary>
    public async Task ListenAsync(BrokerLink link, CancellationToken cancellation)
    {
        Primary.Forget();
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
        await SubscribeAsync(link, topics.NodeCommand, cancellation);
        if (settings.PrimaryHost is { } host)
            await SubscribeAsync(link, SparkplugTopics.HostState(host), cancellation);
    }

    public void Dispose() => Heard.Dispose();

    private async Task SubscribeAsync(BrokerLink link, string topic, CancellationToken cancellation)
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
                logger.ListenForbidden(
                    settings.Place,
                    settings.UserName ?? settings.ClientId,
                    topic,
                    $"{item.ResultCode}"
                );
        }
    }

    /// <summary>Quick, and whatever comes, it does not throw.</summary>
    private void Hear(MqttApplicationMessage message)
    {
        byte[] payload = message.Payload.ToArray();
        if (message.Topic != topics.NodeCommand)
        {
            if (!Primary.Hear(payload))
                Ignore(message, NodeCommand.NotUnderstood);
        }
        else if (CommandReader.Read(payload) is var command and not NodeCommand.Rebirth)
            Ignore(message, command);
        else if (!Rebirths.Ask())
            Refuse();
        Heard.Set();
    }

    private void Refuse()
    {
        counters.RebirthRefused();
        lock (_toldIgnored)
        {
            if (_toldRefused)
                return;
            _toldRefused = true;
        }
        logger.RebirthsRefused(settings.NodeName, RebirthGate.Pause.TotalSeconds);
    }

    private void Ignore(MqttApplicationMessage message, NodeCommand what)
    {
        counters.CommandIgnored();
        lock (_toldIgnored)
        {
            if (!_toldIgnored.Add((message.Topic, what)))
                return;
        }
        bool isCommand = message.Topic == topics.NodeCommand;
        logger.Ignored(
            settings.NodeName,
            message.Topic,
            message.Payload.Length,
            what == NodeCommand.Unknown ? "a command we do not have"
                : isCommand ? "no Sparkplug B payload"
                : "no word of a host",
            isCommand ? $"{EdgeNode.Rebirth} = true" : """{"online": true or false, "timestamp": ms}"""
        );
    }
}
