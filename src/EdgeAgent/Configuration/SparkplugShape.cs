namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>The broker at which this daemon is a Sparkplug edge node.</summary>
internal static class SparkplugShape
{
    // Where the fallbacks stand: in the record, once.
    private static readonly SparkplugSettings s_node = new()
    {
        Host = "",
        GroupId = "",
        EdgeNodeId = "",
    };

    /// <param name="mqtt">The JSON client, which may share the broker but not the client identifier.</param>
    public static SparkplugSettings Read(Section s, MqttSettings? mqtt)
    {
        SparkplugSettings node = new(BrokerShape.Read(s, s_node))
        {
            GroupId = s.Text(
                "groupId",
                "Sparkplug group; a level of every topic. A line, a hall, a plant: whatever the hosts sort by.",
                TextRule.SparkplugId
            ),
            EdgeNodeId = s.Text(
                "edgeNodeId",
                "Name of this node, unique within its group; a level of every topic. Machines are its devices, by their names.",
                TextRule.SparkplugId
            ),
            PrimaryHost = s.OptionalText(
                "primaryHost",
                "Identifier of the host application that must be online (its STATE says so) before anything is published; left out: none is waited for.",
                TextRule.SparkplugId
            ),
            Aliases = s.Switch(
                "aliases",
                "True: after their birth metrics are called by a number instead of their name, which makes messages shorter.",
                s_node.Aliases
            ),
            IntervalSeconds = s.Number(
                "intervalSeconds",
                "Time between two looks at what has changed, s; only that is published.",
                0.1,
                3_600,
                s_node.IntervalSeconds
            ),
        };
        if (
            mqtt is not null
            && (mqtt.Host, mqtt.Port, mqtt.ClientId) == (node.Host, node.Port, node.ClientId)
        )
            s.Refuse(
                "clientId",
                "another client identifier than mqtt has at the same broker, which would throw either out for the other",
                $"Try {node.ClientId}-sparkplug."
            );
        return node;
    }
}
