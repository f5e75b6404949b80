using System.Net;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>The whole configuration, checked. See <c>config/</c> for a commented example and its JSON Schema.</summary>
public sealed record AgentSettings
{
    public required string Site { get; init; }
    public required string Area { get; init; }
    public MqttSettings? Mqtt { get; init; }
    public SparkplugSettings? Sparkplug { get; init; }

    /// <summary>Directory for what must outlive the program; null: nothing does.</summary>
    public string? StateDirectory { get; init; }
    public OutboxSettings Outbox { get; init; } = new();
    public RecordingSettings Recordings { get; init; } = new();
    public TelemetrySettings Telemetry { get; init; } = new();
    public StatusPageSettings StatusPage { get; init; } = new();
    public required IReadOnlyList<ControllerSettings> Controllers { get; init; }
    public required IReadOnlyList<WatchedMachineSettings> Machines { get; init; }
}

/// <summary>How a controller is reached and how often it is read.</summary>
public sealed record ControllerSettings
{
    public required string Name { get; init; }

    /// <summary><c>ethernet-ip</c>, or <c>libplctag</c> where that library is installed.</summary>
    public string Driver { get; init; } = "ethernet-ip";
    public required string Host { get; init; }
    public int Port { get; init; } = 44818;

    /// <summary>Route from the communication port to the processor: pairs of port and link, e.g. <c>1,0</c> for slot 0; empty for none.</summary>
    public string Route { get; init; } = "1,0";
    public int PollMilliseconds { get; init; } = 20;
    public int TimeoutMilliseconds { get; init; } = 500;
    public int ReconnectMaximumMilliseconds { get; init; } = 800;
}

/// <summary>Where the value of one signal comes from: <c>value = tag * Scale + Offset</c>.</summary>
public sealed record SignalSource(Signal Signal, TagRequest Tag, double Scale = 1, double Offset = 0);

/// <summary>One machine: its place, its tags and its numbers.</summary>
public sealed record WatchedMachineSettings
{
    public required string Name { get; init; }
    public required string Line { get; init; }

    /// <summary>Name of its controller.</summary>
    public required string Controller { get; init; }
    public required IReadOnlyList<SignalSource> Signals { get; init; }

    /// <summary>Column of each signal in a CSV trace, for <c>replay</c>; signals not named here use their own name.</summary>
    public IReadOnlyDictionary<Signal, string> Columns { get; init; } = new Dictionary<Signal, string>();
    public required MachineSettings Machine { get; init; }
}

/// <summary>How much is kept of the events that wait for the broker. An event takes a little over 1 kB.</summary>
public sealed record OutboxSettings
{
    /// <summary>Space on disk, MB of 2^20 bytes; beyond it the oldest events are deleted and told as lost.</summary>
    public int MaximumMegabytes { get; init; } = 64;

    /// <summary>
    /// Events in memory: those the disk does not take at the moment, or all that wait where there is no state directory.
    /// Beyond it the oldest are dropped and told as lost.
    /// </summary>
    public int MemoryEvents { get; init; } = 10_000;
}

/// <summary>What is kept on disk of the readings themselves: a ring of all, and a black box around warnings and trips. MB are 2^20 bytes.</summary>
public sealed record RecordingSettings
{
    /// <summary>False: nothing is recorded.</summary>
    public bool Enabled { get; init; } = true;

    /// <summary>Directory of recordings; null: <c>recordings</c> in the state directory, and nothing is recorded where there is none.</summary>
    public string? Directory { get; init; }

    /// <summary>Space of the ring, MB; beyond it the oldest readings are deleted.</summary>
    public int MaximumMegabytes { get; init; } = 2_000;

    /// <summary>Days of the ring, counted as days on which something was recorded.</summary>
    public int MaximumDays { get; init; } = 14;

    /// <summary>Space of the black box, MB.</summary>
    public int BlackBoxMaximumMegabytes { get; init; } = 500;

    /// <summary>Days of the black box, counted as days on which something was kept in it.</summary>
    public int BlackBoxMaximumDays { get; init; } = 400;

    /// <summary>Space of the disk that recordings leave free, MB: where less is free, they grow no further.</summary>
    public int LeaveFreeMegabytes { get; init; } = 256;

    /// <summary>Where recordings go; null for nowhere.</summary>
    public string? Place(string? stateDirectory) =>
        !Enabled ? null
        : Directory is not null ? Directory
        : stateDirectory is not null ? Path.Combine(stateDirectory, "recordings")
        : null;
}

/// <summary>Where meters and traces are exported.</summary>
public sealed record TelemetrySettings
{
    /// <summary>OTLP endpoint; null: no export.</summary>
    public Uri? OtlpEndpoint { get; init; }
}

/// <summary>The page that shows how the machines are. Off by default; reads only.</summary>
public sealed record StatusPageSettings
{
    public bool Enabled { get; init; }

    /// <summary>IP address of this computer it is served at.</summary>
    public string Address { get; init; } = "127.0.0.1";
    public int Port { get; init; } = 8040;

    /// <summary>File whose first line is what a viewer must enter; needed where <see cref="Address"/> is not loopback.</summary>
    public string? TokenFile { get; init; }

    /// <summary>Whether only who is at this computer can call it.</summary>
    public bool IsLoopback =>
        IPAddress.TryParse(Address, out IPAddress? address) && IPAddress.IsLoopback(address);
}
