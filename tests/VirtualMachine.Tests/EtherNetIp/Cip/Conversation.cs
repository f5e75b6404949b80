using System.Buffers.Binary;
using System.Net;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.EtherNetIp.Cip;
using Dancerwatch.VirtualMachine.EtherNetIp.Encapsulation;
using Dancerwatch.VirtualMachine.Tags;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;

/// <summary>A controller without a network: frames in, frames out, on a clock the test owns.</summary>
internal sealed class Conversation
{
    private const int HeaderLength = 24;
    private readonly ControllerServerOptions _options;
    private readonly ConnectionManager _connections;
    private readonly MessageRouter _router;
    private readonly EncapsulationSession _session;

    public Conversation(ControllerServerOptions? options = null)
    {
        _options = options ?? new();
        _connections = new(_options, Time);
        _router = new(Table, _options, _connections, Counters);
        _session = NewSession(handle: 0x11);
        Handle = 0x11;
        Answer(Bytes.RegisterSession());
    }

    public TagTable Table { get; } = new();
    public FakeTimeProvider Time { get; } = new();
    public ControllerCounters Counters { get; } = new();
    public uint Handle { get; }
    public int OpenConnections => _connections.Count;

    public EncapsulationSession NewSession(uint handle) =>
        new(handle, new IPEndPoint(IPAddress.Loopback, 44818), _router, _connections, Counters, _options);

    /// <summary>Reply frame to a frame; empty where there is none.</summary>
    public byte[] Answer(byte[] frame) => _session.Answer(frame).ToArray();

    /// <summary>Reply to an unconnected request.</summary>
    public byte[] Ask(byte[] request)
    {
        byte[] frame = Answer(Bytes.SendRRData(Handle, request));
        Assert.Equal(0u, BinaryPrimitives.ReadUInt32LittleEndian(frame.AsSpan(8)));
        Assert.Equal("00000000000002000000" + "0000B200", Convert.ToHexString(frame, HeaderLength, 14));
        byte[] reply = frame[(HeaderLength + 16)..];
        Assert.Equal(reply.Length, BinaryPrimitives.ReadUInt16LittleEndian(frame.AsSpan(HeaderLength + 14)));
        return reply;
    }

    /// <summary>Reply to a request, as hexadecimal digits.</summary>
    public string AskHex(byte[] request) => Convert.ToHexString(Ask(request));

    /// <summary>Id of a new connection.</summary>
    public uint Open(ForwardOpen open)
    {
        byte[] reply = Ask(open.Request);
        Assert.Equal(0, reply[2]);
        return BinaryPrimitives.ReadUInt32LittleEndian(reply.AsSpan(4));
    }

    /// <summary>Reply to a request on a connection, without its sequence count; empty where there is none.</summary>
    public byte[] AskConnected(uint connection, int sequence, byte[] request)
    {
        byte[] frame = Answer(Bytes.SendUnitData(Handle, connection, sequence, request));
        if (frame.Length == 0)
            return frame;
        Assert.Equal(sequence, BinaryPrimitives.ReadUInt16LittleEndian(frame.AsSpan(HeaderLength + 20)));
        return frame[(HeaderLength + 22)..];
    }
}
