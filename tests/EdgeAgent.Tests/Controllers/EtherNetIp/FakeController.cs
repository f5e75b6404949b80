using System.Buffers.Binary;
using System.Collections.Concurrent;
using System.Net;
using System.Net.Sockets;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;

/// <summary>
/// A controller made of bytes: what it answers is told by the test, down to the frame. Written apart from the driver
/// and shares no code with it.
/// </summary>
internal sealed class FakeController : IAsyncDisposable
{
    public const uint Session = 0x00C0FFEE;
    public const uint ConnectionId = 0x11223344;

    private readonly TcpListener _listener;
    private readonly CancellationTokenSource _stop = new();
    private readonly ConcurrentBag<Socket> _clients = [];
    private readonly Task _accepting;
    private uint _fromController;

    public FakeController(int port = 0)
    {
        _listener = new TcpListener(IPAddress.Loopback, port);
        _listener.Start();
        Port = ((IPEndPoint)_listener.LocalEndpoint).Port;
        _accepting = AcceptAsync();
    }

    public int Port { get; }

    /// <summary>Typed data (type code and value) by path, both in hex; the path without blanks.</summary>
    public Dictionary<string, string> Tags { get; } = [];

    public bool GrantsLarge { get; set; } = true;
    public bool GrantsSmall { get; set; } = true;

    /// <summary>Requests for a connection that are left unanswered, by service code.</summary>
    public HashSet<byte> Unanswered { get; } = [];

    /// <summary>Serves a tag: members separated by dots, and its typed data in hex.</summary>
    public void Serve(string name, string data) => Tags[Hex.SymbolicPath(name)] = data;

    /// <summary>Answers a message to the processor; null falls back to <see cref="Tags"/>.</summary>
    public Func<byte[], byte[]?>? OnMessage { get; set; }

    /// <summary>Turns a finished answer into what is sent instead; an empty answer is silence.</summary>
    public Func<byte[], byte[]>? OnAnswer { get; set; }

    /// <summary>Closes the connection after each answer that carries a read.</summary>
    public bool HangsUp { get; set; }

    /// <summary>Sends answers so many bytes at a time; 0 for whole.</summary>
    public int ChunkLength { get; set; }

    public ConcurrentQueue<byte[]> Frames { get; } = [];

    /// <summary>Messages that reached the processor.</summary>
    public ConcurrentQueue<byte[]> Messages { get; } = [];

    public int Connects { get; private set; }

    /// <summary>Service codes of the messages in all frames so far, as they came: to the connection manager or beyond.</summary>
    public IEnumerable<byte> Services =>
        Frames
            .Where(frame => frame[0] is 0x6F or 0x70)
            .Select(frame => frame[0] == 0x6F ? frame[24 + 16] : frame[24 + 22]);

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        _listener.Stop();
        foreach (Socket client in _clients)
            client.Dispose();
        await _accepting;
        _stop.Dispose();
    }

    private async Task AcceptAsync()
    {
        try
        {
            while (true)
            {
                Socket client = await _listener.AcceptSocketAsync(_stop.Token);
                client.NoDelay = true;
                _clients.Add(client);
                Connects++;
                _ = ServeAsync(client);
            }
        }
        catch (Exception end) when (end is OperationCanceledException or SocketException) { }
        // Stopped between two connections.
        catch (InvalidOperationException) when (_stop.IsCancellationRequested) { }
    }

    private async Task ServeAsync(Socket client)
    {
        try
        {
            using NetworkStream stream = new(client, ownsSocket: true);
            while (true)
            {
                byte[] header = new byte[24];
                await stream.ReadExactlyAsync(header, _stop.Token);
                byte[] body = new byte[BinaryPrimitives.ReadUInt16LittleEndian(header.AsSpan(2))];
                await stream.ReadExactlyAsync(body, _stop.Token);
                Frames.Enqueue([.. header, .. body]);
                (byte[] answer, bool isRead) = Answer(header, body);
                bool hangsUp = isRead && HangsUp;
                if (isRead && OnAnswer is not null)
                    answer = OnAnswer(answer);
                int step = ChunkLength == 0 ? answer.Length : ChunkLength;
                for (int at = 0; at < answer.Length; at += step)
                    await stream.WriteAsync(
                        answer.AsMemory(at, Math.Min(step, answer.Length - at)),
                        _stop.Token
                    );
                if (hangsUp)
                    return;
            }
        }
        catch (Exception end)
            when (end is IOException or OperationCanceledException or ObjectDisposedException) { }
    }

    private (byte[] Answer, bool IsRead) Answer(byte[] header, byte[] body)
    {
        switch (BinaryPrimitives.ReadUInt16LittleEndian(header))
        {
            case 0x65:
                return (Frame(header, body), false);
            case 0x66:
                return ([], false);
            case 0x70:
            {
                byte[] reply = Reply(body[22..]);
                return (Frame(header, [.. body[..8], .. ConnectedItems(body, reply)]), true);
            }
            case 0x6F:
            {
                byte[] message = body[16..];
                bool manager = message[0] is 0x54 or 0x5B or 0x4E;
                if (Unanswered.Contains(message[0]))
                    return ([], false);
                byte[] reply = manager ? Manage(message) : Reply(Unwrap(message));
                byte[] items = [.. body[..8], 0, 0, 0, 0, 0xB2, 0, .. Hex.U16(reply.Length), .. reply];
                return (Frame(header, items), !manager);
            }
            default:
                throw new InvalidOperationException("the driver sent a command nobody knows");
        }
    }

    private byte[] ConnectedItems(byte[] body, byte[] reply) =>
        [
            0xA1,
            0,
            4,
            0,
            .. Hex.U32(_fromController),
            0xB1,
            0,
            .. Hex.U16(reply.Length + 2),
            .. body[20..22],
            .. reply,
        ];

    // A message inside an Unconnected Send (0x52 to class 6), or bare.
    private static byte[] Unwrap(byte[] message)
    {
        if (!(message[0] == 0x52 && message[2] == 0x20 && message[3] == 0x06))
            return message;
        int length = BinaryPrimitives.ReadUInt16LittleEndian(message.AsSpan(8));
        return message[10..(10 + length)];
    }

    private static byte[] Frame(byte[] header, byte[] body)
    {
        byte[] frame = [.. header, .. body];
        BinaryPrimitives.WriteUInt16LittleEndian(frame.AsSpan(2), (ushort)body.Length);
        BinaryPrimitives.WriteUInt32LittleEndian(frame.AsSpan(4), Session);
        return frame;
    }

    private byte[] Manage(byte[] message)
    {
        if (message[0] == 0x4E)
            return [0xCE, 0, 0, 0, .. message[8..16], 0, 0];
        bool large = message[0] == 0x5B;
        if (!(large ? GrantsLarge : GrantsSmall))
            return [(byte)(message[0] | 0x80), 0, 0x01, 1, 0x09, 0x01];
        _fromController = BinaryPrimitives.ReadUInt32LittleEndian(message.AsSpan(12));
        return
        [
            (byte)(message[0] | 0x80),
            0,
            0,
            0,
            .. Hex.U32(ConnectionId),
            .. message[12..16],
            .. message[16..24],
            .. Hex.U32(1_000_000),
            .. Hex.U32(1_000_000),
            0,
            0,
        ];
    }

    private byte[] Reply(byte[] message)
    {
        Messages.Enqueue(message);
        return OnMessage?.Invoke(message) ?? ReplyFromTable(message);
    }

    private byte[] ReplyFromTable(byte[] message)
    {
        if (message[0] == 0x0A)
        {
            int count = BinaryPrimitives.ReadUInt16LittleEndian(message.AsSpan(6));
            int[] starts =
            [
                .. Enumerable
                    .Range(0, count)
                    .Select(i => 6 + message[8 + (2 * i)] + (message[9 + (2 * i)] << 8)),
            ];
            byte[][] replies =
            [
                .. starts.Select(
                    (start, i) =>
                        ReplyFromTable(message[start..(i + 1 < count ? starts[i + 1] : message.Length)])
                ),
            ];
            return Packed(replies);
        }
        string path = Convert.ToHexString(message.AsSpan(2, 2 * message[1]));
        return Tags.TryGetValue(path, out string? data)
            ? [(byte)(message[0] | 0x80), 0, 0, 0, .. Hex.Bytes(data)]
            : [(byte)(message[0] | 0x80), 0, 0x05, 0];
    }

    /// <summary>The reply to a Multiple Service Packet that holds <paramref name="replies"/>.</summary>
    public static byte[] Packed(params byte[][] replies)
    {
        bool failed = replies.Any(reply => reply[2] != 0);
        List<byte> data = [0x8A, 0, failed ? (byte)0x1E : (byte)0, 0, .. Hex.U16(replies.Length)];
        int offset = 2 + (2 * replies.Length);
        foreach (byte[] reply in replies)
        {
            data.AddRange(Hex.U16(offset));
            offset += reply.Length;
        }
        return [.. data, .. replies.SelectMany(reply => reply)];
    }
}

internal static class Hex
{
    /// <summary>
    /// A segment for each member: 0x91, length, ASCII, padded to even (public data-access manual of Logix-class
    /// controllers; from memory).
    /// </summary>
    public static string SymbolicPath(string name) =>
        string.Concat(
            name.Split('.')
                .Select(member =>
                    $"91{member.Length:X2}{Convert.ToHexString(System.Text.Encoding.ASCII.GetBytes(member))}"
                    + (member.Length % 2 == 0 ? "" : "00")
                )
        );

    /// <summary>Bytes of hex text; blanks between bytes are free.</summary>
    public static byte[] Bytes(string hex) =>
        Convert.FromHexString(hex.Replace(" ", "", StringComparison.Ordinal));

    public static byte[] U16(int value) => [(byte)value, (byte)(value >> 8)];

    public static byte[] U32(uint value) => [.. U16((int)(value & 0xFFFF)), .. U16((int)(value >> 16))];
}
