using System.Buffers.Binary;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>A message in its frame, sent again and again with a new number.</summary>
/// <param name="Bytes">The whole frame.</param>
/// <param name="Message">The message's part of it.</param>
internal sealed record PreparedRequest(byte[] Bytes, Memory<byte> Message);

/// <summary>How messages travel to the processor and how their answers are told from others.</summary>
internal abstract class Carrier
{
    public abstract EncapsulationCommand Command { get; }

    /// <summary>Most bytes of a request message.</summary>
    public abstract int LargestRequest { get; }

    /// <summary>Most bytes of a reply message.</summary>
    public abstract int LargestReply { get; }

    /// <summary>For the log: how this controller is read.</summary>
    public abstract string Description { get; }

    public abstract PreparedRequest Prepare(ReadOnlySpan<byte> message);

    /// <summary>Numbers a request, so that its answer is known by the number.</summary>
    public abstract void Stamp(PreparedRequest request, ushort number);

    /// <returns>False where the frame does not answer request <paramref name="number"/>.</returns>
    public abstract bool TryUnwrap(Frame answer, ushort number, out ReadOnlyMemory<byte> reply);
}

/// <summary>Over a connection opened by Forward Open: connection id and sequence count tell answers apart.</summary>
/// <param name="session">Session handle.</param>
/// <param name="connection">The connection.</param>
internal sealed class ConnectedCarrier(uint session, OpenConnection connection) : Carrier
{
    private const int SequenceLength = 2;
    private const int ConnectionIdLength = 4;
    private static readonly int s_sequenceOffset =
        Encapsulation.HeaderLength + CommonPacket.DataStart(ConnectionIdLength);

    public override EncapsulationCommand Command => EncapsulationCommand.SendUnitData;

    // The size of a connection counts the sequence too.
    public override int LargestRequest => connection.Size - SequenceLength;
    public override int LargestReply => LargestRequest;
    public override string Description => $"over a connection of {connection.Size} bytes";

    public override PreparedRequest Prepare(ReadOnlySpan<byte> message)
    {
        byte[] address = new ByteBuilder().UInt32(connection.ToController).ToArray();
        byte[] data = new ByteBuilder().UInt16(0).Bytes(message).ToArray();
        byte[] body = CommonPacket.Build(
            CommonPacket.ConnectedAddress,
            address,
            CommonPacket.ConnectedData,
            data
        );
        byte[] frame = Encapsulation.Build(Command, session, body);
        return new PreparedRequest(frame, frame.AsMemory(s_sequenceOffset + SequenceLength, message.Length));
    }

    public override void Stamp(PreparedRequest request, ushort number) =>
        BinaryPrimitives.WriteUInt16LittleEndian(request.Bytes.AsSpan(s_sequenceOffset), number);

    public override bool TryUnwrap(Frame answer, ushort number, out ReadOnlyMemory<byte> reply)
    {
        reply = default;
        if (
            !CommonPacket.TryFind(
                answer.Body,
                CommonPacket.ConnectedAddress,
                out ReadOnlyMemory<byte> address
            )
            || !BinaryPrimitives.TryReadUInt32LittleEndian(address.Span, out uint id)
            || id != connection.FromController
            || !CommonPacket.TryFind(answer.Body, CommonPacket.ConnectedData, out ReadOnlyMemory<byte> data)
            || !BinaryPrimitives.TryReadUInt16LittleEndian(data.Span, out ushort sequence)
            || sequence != number
        )
        {
            return false;
        }
        reply = data[SequenceLength..];
        return true;
    }
}

/// <summary>
/// Without a connection: straight to the message router of what is connected to, or wrapped in an Unconnected Send that
/// the route leads on. The sender context tells answers apart.
/// </summary>
/// <param name="session">Session handle.</param>
/// <param name="route">Padded port segments; empty for straight.</param>
/// <param name="timeout">How long the route may take.</param>
internal sealed class UnconnectedCarrier(uint session, byte[] route, TimeSpan timeout) : Carrier
{
    // Every device must take unconnected messages of 504 bytes (CIP volume 2; from memory).
    private const int LargestMessage = 504;

    // Service, path size, path, timing (2), message size (2), pad, route size and reserve (2).
    private const int WrapperLength = 2 + 4 + 2 + 2 + 1 + 2;
    private static readonly int s_dataOffset = Encapsulation.HeaderLength + CommonPacket.DataStart(0);

    public override EncapsulationCommand Command => EncapsulationCommand.SendRequestReplyData;
    public override int LargestRequest =>
        route.Length == 0 ? LargestMessage : LargestMessage - WrapperLength - route.Length;
    public override int LargestReply => LargestMessage;
    public override string Description => "unconnected, 504 bytes at a time";

    public override PreparedRequest Prepare(ReadOnlySpan<byte> message)
    {
        ByteBuilder data = new();
        int messageStart = 0;
        if (route.Length > 0)
        {
            data.Byte(CipService.UnconnectedSend)
                .Byte(CipPath.ConnectionManager.Length / 2)
                .Bytes(CipPath.ConnectionManager);
            RouteTiming.Of(timeout).Append(data);
            data.UInt16(message.Length);
            messageStart = data.Length;
        }
        data.Bytes(message);
        if (route.Length > 0)
            data.PadToEven().Byte(route.Length / 2).Byte(0).Bytes(route);

        byte[] body = CommonPacket.Build(
            CommonPacket.NullAddress,
            [],
            CommonPacket.UnconnectedData,
            data.ToArray()
        );
        byte[] frame = Encapsulation.Build(Command, session, body);
        return new PreparedRequest(frame, frame.AsMemory(s_dataOffset + messageStart, message.Length));
    }

    public override void Stamp(PreparedRequest request, ushort number) =>
        BinaryPrimitives.WriteUInt64LittleEndian(request.Bytes.AsSpan(Encapsulation.ContextOffset), number);

    public override bool TryUnwrap(Frame answer, ushort number, out ReadOnlyMemory<byte> reply)
    {
        reply = default;
        return answer.Context == number
            && CommonPacket.TryFind(answer.Body, CommonPacket.UnconnectedData, out reply);
    }
}

/// <summary>How long a request may be under way, as the connection manager wants it: 2^tick ms times a count.</summary>
internal readonly record struct RouteTiming(int Tick, int Count)
{
    public static RouteTiming Of(TimeSpan timeout)
    {
        double left = Math.Max(1, Math.Ceiling(timeout.TotalMilliseconds));
        int tick = 0;
        while (left > byte.MaxValue && tick < 15)
        {
            left /= 2;
            tick++;
        }
        return new RouteTiming(tick, (int)Math.Min(byte.MaxValue, Math.Ceiling(left)));
    }

    public void Append(ByteBuilder message) => message.Byte(Tick).Byte(Count);
}
