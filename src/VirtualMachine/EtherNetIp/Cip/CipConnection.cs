namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>Three numbers by which the originator tells its connections apart.</summary>
internal readonly record struct ConnectionSerial(ushort Connection, ushort Vendor, uint Originator);

/// <summary>An explicit messaging connection (transport class 3).</summary>
internal sealed class CipConnection
{
    /// <summary>The TCP session that opened it; no other may use it.</summary>
    public required object Owner { get; init; }

    /// <summary>Chosen here; the originator addresses its requests with it (O->T).</summary>
    public required uint Id { get; init; }

    /// <summary>Chosen by the originator; replies are addressed with it (T->O).</summary>
    public required uint OriginatorId { get; init; }
    public required ConnectionSerial Serial { get; init; }

    /// <summary>Bytes of a request's data item, the sequence count included.</summary>
    public required int RequestSize { get; init; }

    /// <summary>Bytes of a reply's data item, the sequence count included.</summary>
    public required int ReplySize { get; init; }

    /// <summary>Silence after which the connection is given up: requested packet interval times the multiplier.</summary>
    public required TimeSpan Timeout { get; init; }

    /// <summary>Monotonic stamp of the last request.</summary>
    public long LastHeard { get; set; }
}
