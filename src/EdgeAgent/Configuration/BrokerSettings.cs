using System.Diagnostics.CodeAnalysis;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>How one of our clients is connected to its broker.</summary>
public record BrokerSettings
{
    public required string Host { get; init; }
    public int Port { get; init; } = 1883;
    public string ClientId { get; init; } = "dancerwatch";
    public string? UserName { get; init; }

    /// <summary>File that holds the password (a systemd credential, say); never the password itself.</summary>
    public string? PasswordFile { get; init; }
    public MqttTlsSettings? Tls { get; init; }
    public int KeepAliveSeconds { get; init; } = 15;

    /// <summary>The broker, for the log.</summary>
    internal string Place => $"broker at {Host}:{Port}";
}

/// <summary>TLS 1.2+ to the broker. PEM files.</summary>
public sealed record MqttTlsSettings
{
    /// <summary>Certificate authority the broker's certificate must chain to; null for the system's.</summary>
    public string? CaFile { get; init; }
    public string? ClientCertificateFile { get; init; }
    public string? ClientKeyFile { get; init; }
}

/// <summary>The broker events and states go to, as JSON.</summary>
public sealed record MqttSettings : BrokerSettings
{
    public MqttSettings() { }

    [SetsRequiredMembers]
    internal MqttSettings(BrokerSettings broker)
        : base(broker) { }

    public string TopicPrefix { get; init; } = "dancerwatch";
    public int EventExpirySeconds { get; init; } = 86_400;

    /// <summary>How often retained states are published, s.</summary>
    public double StateIntervalSeconds { get; init; } = 1;
}

/// <summary>The broker at which this daemon is a Sparkplug edge node, with a device for each machine.</summary>
public sealed record SparkplugSettings : BrokerSettings
{
    public SparkplugSettings() => ClientId = "dancerwatch-sparkplug";

    [SetsRequiredMembers]
    internal SparkplugSettings(BrokerSettings broker)
        : base(broker) { }

    public required string GroupId { get; init; } = "";

    /// <summary>Unique within its group; the two together name the node.</summary>
    public required string EdgeNodeId { get; init; } = "";

    /// <summary>The node, for the log.</summary>
    internal string NodeName => $"{GroupId}/{EdgeNodeId}";

    /// <summary>Host application that must be online before anything is published; null for none.</summary>
    public string? PrimaryHost { get; init; }

    /// <summary>Whether metrics are called by numbers after their birth.</summary>
    public bool Aliases { get; init; }

    /// <summary>How often what has changed is published, s.</summary>
    public double IntervalSeconds { get; init; } = 1;
}
