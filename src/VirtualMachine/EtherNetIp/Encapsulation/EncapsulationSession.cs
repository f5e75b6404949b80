using System.Net;
using Dancerwatch.VirtualMachine.EtherNetIp.Cip;

namespace Dancerwatch.VirtualMachine.EtherNetIp.Encapsulation;

/// <summary>
/// One TCP client's conversation: takes a frame, gives the reply frame. Knows of bytes only, not of the network. Not
/// thread-safe; the router and the connections it shares with others are.
/// </summary>
internal sealed class EncapsulationSession(
    uint handle,
    IPEndPoint localEndPoint,
    MessageRouter router,
    ConnectionManager connections,
    ControllerCounters counters,
    ControllerServerOptions options
)
{
    private const ushort ProtocolVersion = 1;

    /// <summary>Bytes the buffer has beyond the largest reply, since some parts are written before they are measured.</summary>
    private const int Slack = 2048;
    private readonly byte[] _reply = new byte[4002 + Slack];
    private bool _isRegistered;

    /// <summary>The client has said good-bye.</summary>
    public bool IsOver { get; private set; }

    /// <summary>Answers one frame.</summary>
    /// <returns>The reply frame, valid until the next call; empty where none is due.</returns>
    public ReadOnlyMemory<byte> Answer(ReadOnlySpan<byte> frame)
    {
        EncapsulationHeader header = EncapsulationHeader.Read(frame);
        ReadOnlySpan<byte> data = frame[EncapsulationHeader.Length..];
        ByteWriter reply = new(_reply.AsSpan(EncapsulationHeader.Length), _reply.Length - Slack);
        EncapsulationStatus? status = header.Command switch
        {
            EncapsulationCommand.Nop => null,
            _ when header.Options != 0 => null, // to be discarded, says the specification
            EncapsulationCommand.ListServices => ListServices(ref reply),
            EncapsulationCommand.ListIdentity => ListIdentity(ref reply),
            EncapsulationCommand.ListInterfaces => ListInterfaces(ref reply),
            EncapsulationCommand.RegisterSession => Register(data, ref reply),
            EncapsulationCommand.UnregisterSession => Unregister(),
            EncapsulationCommand.SendRRData => SendRRData(header, data, ref reply),
            EncapsulationCommand.SendUnitData => SendUnitData(header, data, ref reply),
            _ => EncapsulationStatus.InvalidCommand,
        };
        if (status is null)
            return default;
        if (status != EncapsulationStatus.Success)
            counters.CountMalformed();
        EncapsulationHeader head = header with
        {
            DataLength = (ushort)reply.Length,
            Session =
                header.Command == EncapsulationCommand.RegisterSession && _isRegistered
                    ? handle
                    : header.Session,
            Status = status.Value,
        };
        head.Write(_reply);
        return _reply.AsMemory(0, EncapsulationHeader.Length + reply.Length);
    }

    /// <summary>Protocol version (UINT), options (UINT); the same back, and the handle in the header.</summary>
    private EncapsulationStatus Register(ReadOnlySpan<byte> data, ref ByteWriter reply)
    {
        ByteReader reader = new(data);
        ushort version = reader.UInt16();
        ushort flags = reader.UInt16();
        if (reader.RanOut || !reader.Left.IsEmpty)
            return EncapsulationStatus.InvalidLength;
        reply.UInt16(ProtocolVersion);
        reply.UInt16(0);
        if (version != ProtocolVersion || flags != 0)
            return EncapsulationStatus.UnsupportedProtocol;
        if (_isRegistered)
            return EncapsulationStatus.InvalidCommand; // one session per TCP connection
        _isRegistered = true;
        return EncapsulationStatus.Success;
    }

    private EncapsulationStatus? Unregister()
    {
        IsOver = true;
        return null;
    }

    private EncapsulationStatus SendRRData(
        EncapsulationHeader header,
        ReadOnlySpan<byte> data,
        ref ByteWriter reply
    )
    {
        if (!IsOurs(header))
            return EncapsulationStatus.InvalidSession;
        if (
            !CommonPacket.TryRead(
                data,
                CommonPacket.NullAddress,
                CommonPacket.UnconnectedData,
                out CommonPacket packet
            )
        )
            return EncapsulationStatus.IncorrectData;
        CommonPacket.WriteHead(ref reply, CommonPacket.NullAddress, 0, CommonPacket.UnconnectedData);
        Span<byte> answer = reply.Rest[sizeof(ushort)..];
        int length = router.Answer(packet.Data, answer, ControllerServerOptions.LargestUnconnected, this);
        reply.UInt16((ushort)length);
        reply.Skip(length);
        return EncapsulationStatus.Success;
    }

    /// <summary>A request on a connection: sequence count (UINT), which the reply repeats, then the request.</summary>
    private EncapsulationStatus? SendUnitData(
        EncapsulationHeader header,
        ReadOnlySpan<byte> data,
        ref ByteWriter reply
    )
    {
        // There is no reply to say "no" with: what cannot be served is dropped, and counted.
        bool isWhole = CommonPacket.TryRead(
            data,
            CommonPacket.ConnectedAddress,
            CommonPacket.ConnectedData,
            out CommonPacket packet
        );
        CipConnection? connection =
            isWhole && IsOurs(header) ? connections.Use(packet.Connection, owner: this) : null;
        if (
            connection is null
            || packet.Data.Length < sizeof(ushort)
            || packet.Data.Length > connection.RequestSize
        )
        {
            counters.CountMalformed();
            return null;
        }
        ByteReader reader = new(packet.Data);
        ushort sequence = reader.UInt16();
        CommonPacket.WriteHead(
            ref reply,
            CommonPacket.ConnectedAddress,
            connection.OriginatorId,
            CommonPacket.ConnectedData
        );
        Span<byte> answer = reply.Rest[(2 * sizeof(ushort))..];
        int length = router.Answer(reader.Left, answer, connection.ReplySize - sizeof(ushort), this);
        reply.UInt16((ushort)(sizeof(ushort) + length));
        reply.UInt16(sequence);
        reply.Skip(length);
        return EncapsulationStatus.Success;
    }

    /// <summary>One item: version, flags (CIP over TCP), name of 16 bytes.</summary>
    private static EncapsulationStatus ListServices(ref ByteWriter reply)
    {
        const ushort ServiceItem = 0x0100;
        const ushort CipOverTcp = 0x0020;
        reply.UInt16(1);
        reply.UInt16(ServiceItem);
        reply.UInt16(20);
        reply.UInt16(ProtocolVersion);
        reply.UInt16(CipOverTcp);
        reply.Bytes("Communications\0\0"u8);
        return EncapsulationStatus.Success;
    }

    /// <summary>One item: version, socket address (big-endian), identity, state.</summary>
    private EncapsulationStatus ListIdentity(ref ByteWriter reply)
    {
        const ushort IdentityItem = 0x000C;
        const byte Operational = 0x03;
        reply.UInt16(1);
        reply.UInt16(IdentityItem);
        ByteWriter item = new(reply.Rest[sizeof(ushort)..], reply.Room);
        item.UInt16(ProtocolVersion);
        item.Bytes([0, 2]); // AF_INET
        item.Bytes([(byte)(localEndPoint.Port >> 8), (byte)localEndPoint.Port]);
        item.Bytes(localEndPoint.Address.MapToIPv4().GetAddressBytes());
        item.Bytes([0, 0, 0, 0, 0, 0, 0, 0]);
        IdentityObject.WriteAll(options.Identity, ref item);
        item.Byte(Operational);
        reply.UInt16((ushort)item.Length);
        reply.Skip(item.Length);
        return EncapsulationStatus.Success;
    }

    private static EncapsulationStatus ListInterfaces(ref ByteWriter reply)
    {
        reply.UInt16(0);
        return EncapsulationStatus.Success;
    }

    private bool IsOurs(EncapsulationHeader header) => _isRegistered && header.Session == handle;
}
