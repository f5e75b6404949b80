using System.Net;

namespace Dancerwatch.Fleet;

/// <summary>What a host of a fleet is told besides the configuration, which is the same on all of them.</summary>
internal sealed record FleetSettings
{
    /// <summary>Name of this host, another on each: its MQTT client, and what its lease is called.</summary>
    public required string Host { get; init; }

    /// <summary>Name of the fleet: hosts of one name share controllers.</summary>
    public string Fleet { get; init; } = "dancerwatch";

    /// <summary>How PostgreSQL is reached; null: this host is alone, and remembers nothing after its end.</summary>
    public string? Database { get; init; }

    /// <summary>Address of this host, by which the others reach it.</summary>
    public IPAddress Address { get; init; } = IPAddress.Loopback;

    /// <summary>TCP port of this host for the others.</summary>
    public int Port { get; init; } = 11_111;

    /// <summary>A host may poll so long after its last word to the storage, and another takes over no sooner.</summary>
    public TimeSpan Lease { get; init; } = TimeSpan.FromSeconds(4);

    /// <summary>Hosts ask each other this often whether they are there; three unanswered questions make a host lost.</summary>
    public TimeSpan Probe { get; init; } = TimeSpan.FromSeconds(1);

    /// <summary>Each machine's memory is saved this often, and after half of it where a condition changed.</summary>
    public TimeSpan SaveInterval { get; init; } = TimeSpan.FromMinutes(10);
}
