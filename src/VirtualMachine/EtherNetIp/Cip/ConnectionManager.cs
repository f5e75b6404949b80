namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>
/// Opens, finds, times out and closes connections (CIP volume 1, 3-5; reasons of failure from memory). Thread-safe.
/// </summary>
internal sealed class ConnectionManager(ControllerServerOptions options, TimeProvider time)
{
    private const int ExplicitMessages = 3;
    private const int SmallestConnection = 32;
    private const byte LargestMultiplierCode = 7;
    private const uint ShortestIntervalMicroseconds = 1000;

    private const ushort DuplicateForwardOpen = 0x0100;
    private const ushort TransportNotSupported = 0x0103;
    private const ushort ConnectionNotFound = 0x0107;
    private const ushort InvalidConnectionSize = 0x0109;
    private const ushort IntervalNotSupported = 0x0111;
    private const ushort OutOfConnections = 0x0113;
    private const ushort InvalidConnectionType = 0x0123;
    private const ushort InvalidMultiplier = 0x0133;

    private readonly Lock _gate = new();
    private readonly Dictionary<uint, CipConnection> _connections = [];
    private uint _lastId = 0x00C10000;

    public int Count
    {
        get
        {
            lock (_gate)
            {
                CloseSilent();
                return _connections.Count;
            }
        }
    }

    public CipStatus Open(ReadOnlySpan<byte> data, bool large, object owner, ref ByteWriter reply)
    {
        if (!options.AcceptConnections || (large && !options.AcceptLargeConnections))
            return CipStatus.ServiceNotSupported;
        if (!ForwardOpenRequest.TryParse(data, large, out ForwardOpenRequest request))
            return CipStatus.NotEnoughData;
        lock (_gate)
        {
            CloseSilent();
            ushort? refusal = Refusal(request, large);
            if (refusal is not null)
            {
                WriteSerial(request.Serial, ref reply);
                reply.UInt16(0); // words of path left, reserved
                return CipStatus.ConnectionFailure(refusal.Value);
            }
            CipConnection connection = new()
            {
                Owner = owner,
                Id = ++_lastId,
                OriginatorId = request.OriginatorId,
                Serial = request.Serial,
                RequestSize = request.RequestSize,
                ReplySize = request.ReplySize,
                Timeout = TimeSpan.FromMicroseconds(
                    (double)request.RequestIntervalMicroseconds * (4 << request.TimeoutMultiplierCode)
                ),
                LastHeard = time.GetTimestamp(),
            };
            _connections.Add(connection.Id, connection);
            reply.UInt32(connection.Id);
            reply.UInt32(connection.OriginatorId);
            WriteSerial(connection.Serial, ref reply);
            reply.UInt32(request.RequestIntervalMicroseconds);
            reply.UInt32(request.ReplyIntervalMicroseconds);
            reply.UInt16(0); // no application reply
            return CipStatus.Success;
        }
    }

    public CipStatus Close(ReadOnlySpan<byte> data, object owner, ref ByteWriter reply)
    {
        ByteReader reader = new(data);
        reader.UInt16(); // priority, ticks
        ConnectionSerial serial = new(reader.UInt16(), reader.UInt16(), reader.UInt32());
        if (reader.RanOut)
            return CipStatus.NotEnoughData;
        WriteSerial(serial, ref reply);
        reply.UInt16(0); // no application reply; where it fails: words of path left, reserved
        lock (_gate)
        {
            CipConnection? connection = _connections.Values.FirstOrDefault(candidate =>
                candidate.Serial == serial && candidate.Owner == owner
            );
            return connection is not null && _connections.Remove(connection.Id)
                ? CipStatus.Success
                : CipStatus.ConnectionFailure(ConnectionNotFound);
        }
    }

    /// <summary>The connection a request is addressed to, its time-out started anew; null: there is none, or it is another session's.</summary>
    public CipConnection? Use(uint id, object owner)
    {
        lock (_gate)
        {
            if (!_connections.TryGetValue(id, out CipConnection? connection) || connection.Owner != owner)
                return null;
            if (IsSilent(connection))
            {
                _connections.Remove(id);
                return null;
            }
            connection.LastHeard = time.GetTimestamp();
            return connection;
        }
    }

    /// <summary>A TCP session is over, and its connections with it.</summary>
    public void CloseAllOf(object owner)
    {
        lock (_gate)
            CloseWhere(connection => connection.Owner == owner);
    }

    private ushort? Refusal(ForwardOpenRequest request, bool large)
    {
        int largest = large ? options.LargestConnection : ControllerServerOptions.LargestSmallConnection;
        if ((request.Transport & 0x0F) != ExplicitMessages)
            return TransportNotSupported;
        if (!request.IsPointToPoint)
            return InvalidConnectionType;
        if (request.TimeoutMultiplierCode > LargestMultiplierCode)
            return InvalidMultiplier;
        if (
            Math.Min(request.RequestIntervalMicroseconds, request.ReplyIntervalMicroseconds)
            < ShortestIntervalMicroseconds
        )
            return IntervalNotSupported;
        if (
            Math.Min(request.RequestSize, request.ReplySize) < SmallestConnection
            || Math.Max(request.RequestSize, request.ReplySize) > largest
        )
            return InvalidConnectionSize;
        if (Route.Refusal(request.Path, options.Slot, toMessageRouter: true) is { } wrongPath)
            return wrongPath;
        foreach (CipConnection connection in _connections.Values)
        {
            if (connection.Serial == request.Serial)
                return DuplicateForwardOpen;
        }
        return _connections.Count >= options.MaxConnections ? OutOfConnections : null;
    }

    private void CloseSilent() => CloseWhere(IsSilent);

    private bool IsSilent(CipConnection connection) =>
        time.GetElapsedTime(connection.LastHeard) > connection.Timeout;

    private void CloseWhere(Func<CipConnection, bool> isOver)
    {
        foreach (CipConnection connection in _connections.Values)
        {
            if (isOver(connection))
                _connections.Remove(connection.Id); // allowed while enumerating
        }
    }

    private static void WriteSerial(ConnectionSerial serial, ref ByteWriter reply)
    {
        reply.UInt16(serial.Connection);
        reply.UInt16(serial.Vendor);
        reply.UInt32(serial.Originator);
    }
}
