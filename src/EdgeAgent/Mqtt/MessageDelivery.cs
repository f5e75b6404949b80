using MQTTnet;
using MQTTnet.Exceptions;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>Publishes one message and waits for the broker's answer to it.</summary>
internal sealed class MessageDelivery(PublisherLog log, TimeProvider time)
{
    /// <summary>How long an acknowledgement is waited for before the connection counts as lost.</summary>
    private static readonly TimeSpan s_acknowledgeTimeout = TimeSpan.FromSeconds(10);

    /// <summary>
    /// How long a message under way may take to arrive once the session ends. It is not broken off at once: half a packet
    /// would spoil the connection for the goodbye.
    /// </summary>
    private static readonly TimeSpan s_finishTime = TimeSpan.FromSeconds(1);

    /// <returns>The broker's answer; a refusal is told and counted. At QoS 0 there is none, and it counts as taken.</returns>
    /// <exception cref="BrokerException">There is no answer in time.</exception>
    /// <exception cref="MqttCommunicationException">The connection is lost.</exception>
    public async Task<MqttClientPublishReasonCode> PublishAsync(
        BrokerLink link,
        MqttApplicationMessage message,
        CancellationToken cancellation
    )
    {
        // A refusal is an answer, not an exception.
        MqttClientPublishReasonCode answer = await InTimeAsync(
            async limit =>
                link.Takes(message)
                    ? (await link.Client.PublishAsync(message, limit)).ReasonCode
                    : PublishAnswer.PacketTooLarge,
            cancellation
        );
        if (!answer.IsAccepted())
            log.Refused(message.Topic, answer);
        return answer;
    }

    /// <summary>
    /// Waits until the broker has read all that was sent so far: it reads in order, and answers a ping sent after it. That is
    /// all that can be known of messages at QoS 0.
    /// </summary>
    /// <inheritdoc cref="PublishAsync" path="/exception"/>
    public Task HasBeenReadAsync(BrokerLink link, CancellationToken cancellation) =>
        InTimeAsync(
            async limit =>
            {
                await link.Client.PingAsync(limit);
                return true;
            },
            cancellation
        );

    private async Task<T> InTimeAsync<T>(
        Func<CancellationToken, Task<T>> exchange,
        CancellationToken cancellation
    )
    {
        cancellation.ThrowIfCancellationRequested();
        using CancellationTokenSource limit = new(s_acknowledgeTimeout, time);
        using CancellationTokenRegistration ending = cancellation.UnsafeRegister(
            static limit => ((CancellationTokenSource)limit!).CancelAfter(s_finishTime),
            limit
        );
        try
        {
            return await exchange(limit.Token);
        }
        catch (Exception e)
            when (e is OperationCanceledException or MqttCommunicationTimedOutException
                && limit.IsCancellationRequested
                && !cancellation.IsCancellationRequested
            )
        {
            throw new BrokerException(
                $"did not acknowledge a message within {s_acknowledgeTimeout.TotalSeconds:F0} s",
                e
            );
        }
    }
}
