using System.Buffers.Binary;
using System.Net;
using System.Net.Sockets;
using Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp;

/// <summary>A TCP client that sends bytes as they are and reads whole frames.</summary>
internal sealed class RawClient : IDisposable
{
    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(10);
    private readonly TcpClient _tcp = new() { NoDelay = true };

    public uint Session { get; private set; }

    public static async Task<RawClient> Connect(IPEndPoint endPoint)
    {
        RawClient client = new();
        await client._tcp.ConnectAsync(endPoint, TestContext.Current.CancellationToken);
        return client;
    }

    public static async Task<RawClient> Register(IPEndPoint endPoint)
    {
        RawClient client = await Connect(endPoint);
        byte[] reply = await client.Exchange(Bytes.RegisterSession());
        client.Session = BinaryPrimitives.ReadUInt32LittleEndian(reply.AsSpan(4));
        return client;
    }

    public async Task Send(ReadOnlyMemory<byte> bytes) =>
        await _tcp.GetStream().WriteAsync(bytes, TestContext.Current.CancellationToken);

    public async Task<byte[]> Exchange(byte[] frame)
    {
        await Send(frame);
        return await Receive();
    }

    /// <summary>Reply to an unconnected request, as hexadecimal digits.</summary>
    public async Task<string> Ask(byte[] request)
    {
        byte[] frame = await Exchange(Bytes.SendRRData(Session, request));
        return Convert.ToHexString(frame[40..]);
    }

    public async Task<byte[]> Receive()
    {
        using CancellationTokenSource patience = new(s_patience);
        byte[] header = new byte[24];
        await _tcp.GetStream().ReadExactlyAsync(header, patience.Token);
        byte[] data = new byte[BinaryPrimitives.ReadUInt16LittleEndian(header.AsSpan(2))];
        await _tcp.GetStream().ReadExactlyAsync(data, patience.Token);
        return [.. header, .. data];
    }

    /// <summary>What comes next, up to so many bytes; none where the controller hung up.</summary>
    public async Task<byte[]> ReceiveSome(int most)
    {
        using CancellationTokenSource patience = new(s_patience);
        byte[] bytes = new byte[most];
        try
        {
            return bytes[..await _tcp.GetStream().ReadAsync(bytes, patience.Token)];
        }
        catch (IOException)
        {
            return []; // hung up on with bytes of ours unread
        }
    }

    public bool HasBytes => _tcp.Available > 0;

    public void Dispose() => _tcp.Dispose();
}
