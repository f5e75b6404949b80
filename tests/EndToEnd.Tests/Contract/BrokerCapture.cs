using System.Collections.Concurrent;
using MQTTnet;
using MQTTnet.Exceptions;
using MQTTnet.Packets;
using MQTTnet.Protocol;

namespace Dancerwatch.EndToEnd.Tests.Contract;

/// <summary>Everything that goes through a broker, from the moment on at which it is there.</summary>
internal sealed class BrokerCapture(int port) : IDisposable
{
    private static readonly TimeSpan s_pause = TimeSpan.FromMilliseconds(20);
    private readonly IMqttClient _client = new MqttClientFactory().CreateMqttClient();

    public ConcurrentQueue<PublishedMessage> Heard { get; } = new();

    /// <summary>Waits for the broker, then listens to all of it.</summary>
    public async Task ListenAsync(CancellationToken cancellation)
    {
        _client.ApplicationMessageReceivedAsync += received =>
        {
            Heard.Enqueue(PublishedMessage.Of(received.ApplicationMessage));
            return Task.CompletedTask;
        };
        MqttClientOptions options = new MqttClientOptionsBuilder()
            .WithTcpServer("127.0.0.1", port)
            .WithProtocolVersion(MQTTnet.Formatter.MqttProtocolVersion.V500)
            .Build();
        while (!_client.IsConnected)
        {
            try
            {
                await _client.ConnectAsync(options, cancellation);
            }
            catch (MqttCommunicationException)
            {
                await Task.Delay(s_pause, cancellation);
            }
        }
        await _client.SubscribeAsync(
            new MqttClientSubscribeOptions
            {
                TopicFilters =
                [
                    new MqttTopicFilter
                    {
                        Topic = "#",
                        QualityOfServiceLevel = MqttQualityOfServiceLevel.AtLeastOnce,
                        // Else the broker takes the mark off whatever it hands on at once.
                        RetainAsPublished = true,
                    },
                ],
            },
            cancellation
        );
    }

    public void Dispose() => _client.Dispose();
}
