using System.Buffers.Binary;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>A connection the controller has opened.</summary>
/// <param name="ToController">Id on our requests, chosen by the controller.</param>
/// <param name="FromController">Id on its answers, chosen by us.</param>
/// <param name="Size">Most bytes of a message with its sequence count.</param>
internal sealed record OpenConnection(uint ToController, uint FromController, int Size);

/// <summary>
/// Asks the connection manager for a class 3 connection (messages with sequence count, sent when we want) to the
/// message router, and closes it again. Layout: CIP volume 1, 3-5.5.
/// </summary>
/// <param name="route">Padded port segments; empty for none.</param>
/// <param name="originator">Serial number that stands for this program; a connection is known by it and its own serial.</param>
/// <param name="serial">Serial number of the connection.</param>
/// <param name="packetInterval">
/// How often we promise to send. The controller gives the connection up after <see cref="TimeoutMultiplier"/> times as
/// long without a request; reads are the only keep-alive, so it must not be shorter than the poll interval.
/// </param>
internal sealed class ForwardOpen(byte[] route, uint originator, ushort serial, TimeSpan packetInterval)
{
    public const int LargeSize = 4000;
    public const int SmallSize = 500;
    public const int TimeoutMultiplier = 8;

    // Code 1 stands for 8 times.
    private const int TimeoutMultiplierCode = 1;

    // Point to point, low priority, size variable.
    private const uint ConnectionKind = 0x4200;

    // Server end, triggered by the application, class 3.
    private const int TransportClass3 = 0xA3;

    // We have no vendor number of our own.
    private const int Vendor = 0xFFFF;

    private readonly RouteTiming _timing = RouteTiming.Of(TimeSpan.FromSeconds(2));

    /// <summary>Id on the controller's answers.</summary>
    private uint FromController => originator ^ serial;

    public byte[] OpenMessage(bool large)
    {
        ByteBuilder message = Head(large ? CipService.LargeForwardOpen : CipService.ForwardOpen);
        message.UInt32(0).UInt32(FromController);
        Identity(message);
        message.Byte(TimeoutMultiplierCode).Byte(0).Byte(0).Byte(0);
        for (int direction = 0; direction < 2; direction++)
        {
            message.UInt32((uint)packetInterval.TotalMicroseconds);
            if (large)
                message.UInt32((ConnectionKind << 16) | LargeSize);
            else
                message.UInt16((int)ConnectionKind | SmallSize);
        }
        message.Byte(TransportClass3);
        return message.Byte(PathWords).Bytes(route).Bytes(CipPath.MessageRouter).ToArray();
    }

    public byte[] CloseMessage()
    {
        ByteBuilder message = Head(CipService.ForwardClose);
        Identity(message);
        return message.Byte(PathWords).Byte(0).Bytes(route).Bytes(CipPath.MessageRouter).ToArray();
    }

    /// <summary>Takes the data of a successful reply.</summary>
    /// <returns>Null where the data does not answer this request.</returns>
    public OpenConnection? Accept(ReadOnlySpan<byte> data, bool large)
    {
        const int MinimumLength = 26;
        if (
            data.Length < MinimumLength
            || BinaryPrimitives.ReadUInt32LittleEndian(data[4..]) != FromController
            || BinaryPrimitives.ReadUInt16LittleEndian(data[8..]) != serial
            || BinaryPrimitives.ReadUInt32LittleEndian(data[12..]) != originator
        )
        {
            return null;
        }
        return new OpenConnection(
            BinaryPrimitives.ReadUInt32LittleEndian(data),
            FromController,
            large ? LargeSize : SmallSize
        );
    }

    private int PathWords => (route.Length + CipPath.MessageRouter.Length) / 2;

    private ByteBuilder Head(byte service)
    {
        ByteBuilder message = new();
        message.Byte(service).Byte(CipPath.ConnectionManager.Length / 2).Bytes(CipPath.ConnectionManager);
        _timing.Append(message);
        return message;
    }

    private void Identity(ByteBuilder message) => message.UInt16(serial).UInt16(Vendor).UInt32(originator);
}
