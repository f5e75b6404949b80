namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>The broker that events and states go to, as JSON.</summary>
internal static class MqttShape
{
    // Where the fallbacks stand: in the record, once.
    private static readonly MqttSettings s_mqtt = new() { Host = "" };

    public static MqttSettings Read(Section s) =>
        new(BrokerShape.Read(s, s_mqtt))
        {
            TopicPrefix = s.Text(
                "topicPrefix",
                "What every topic starts with.",
                TextRule.TopicPrefix,
                s_mqtt.TopicPrefix
            ),
            EventExpirySeconds = s.Whole(
                "eventExpirySeconds",
                "How long the broker keeps an event for a client that is away, s.",
                1,
                31_536_000,
                s_mqtt.EventExpirySeconds
            ),
            StateIntervalSeconds = s.Number(
                "stateIntervalSeconds",
                "Time between two publishes of the retained states, s.",
                0.1,
                3_600,
                s_mqtt.StateIntervalSeconds
            ),
        };
}
