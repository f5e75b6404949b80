using System.Buffers;
using System.Collections.Concurrent;
using System.Text.Json;
using MQTTnet;
using MQTTnet.Protocol;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt;

/// <summary>A subscriber to everything, as a SCADA would be one.</summary>
internal sealed class ListeningClient : IAsyncDisposable
{
    private readonly IMqttClient _client = new MqttClientFactory().CreateMqttClient();

    public ConcurrentQueue<MqttApplicationMessage> Heard { get; } = new();

    public static async Task<ListeningClient> ConnectAsync(int port, string filter = "#")
    {
        ListeningClient listening = new();
        listening._client.ApplicationMessageReceivedAsync += received =>
        {
            listening.Heard.Enqueue(received.ApplicationMessage);
            return Task.CompletedTask;
        };
        CancellationToken cancellation = TestContext.Current.CancellationToken;
        await listening._client.ConnectAsync(
            new MqttClientOptionsBuilder().WithTcpServer("127.0.0.1", port).Build(),
            cancellation
        );
        await listening._client.SubscribeAsync(
            new MqttClientSubscribeOptionsBuilder()
                .WithTopicFilter(filter, MqttQualityOfServiceLevel.AtLeastOnce)
                .Build(),
            cancellation
        );
        return listening;
    }

    /// <summary>The first message on a topic that fits; waits for it.</summary>
    public Task<MqttApplicationMessage> NextAsync(string topic, Func<JsonElement, bool>? fits = null) =>
        Eventually.GetAsync(
            () =>
                Heard.FirstOrDefault(message =>
                    message.Topic == topic && (fits is null || fits(JsonOf(message)))
                ),
            $"a message on {topic}; heard {string.Join(", ", Heard.Select(m => m.Topic).Distinct())}",
            seconds: 30
        );

    /// <summary>Publishes one message, and waits until the broker has it.</summary>
    public Task TellAsync(string topic, byte[] payload) =>
        _client.PublishBinaryAsync(
            topic,
            payload,
            MqttQualityOfServiceLevel.AtLeastOnce,
            cancellationToken: TestContext.Current.CancellationToken
        );

    public static JsonElement JsonOf(MqttApplicationMessage message) =>
        JsonDocument.Parse(message.Payload.ToArray()).RootElement;

    public ValueTask DisposeAsync()
    {
        _client.Dispose();
        return ValueTask.CompletedTask;
    }
}
