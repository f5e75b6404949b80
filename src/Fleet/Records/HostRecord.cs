namespace Dancerwatch.Fleet.Records;

/// <summary>A host's lease: every write of its own renews it.</summary>
[GenerateSerializer, Alias("dancerwatch.host")]
internal sealed class HostRecord
{
    /// <summary>Which run of the program on that host.</summary>
    [Id(0)]
    public string Run { get; set; } = "";

    /// <summary>The lease holds so long from the moment its renewal was sent.</summary>
    [Id(1)]
    public TimeSpan Lease { get; set; }

    /// <summary>It will not be renewed: given up by the host, or ended by another.</summary>
    [Id(2)]
    public bool IsOver { get; set; }

    /// <summary>Renewals so far.</summary>
    [Id(3)]
    public long Renewals { get; set; }
}
