using System.Buffers.Binary;

namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>Goes through the fields of a message in the wire format of protocol buffers (protobuf.dev, "Encoding").</summary>
internal ref struct FieldReader(ReadOnlySpan<byte> message)
{
    private readonly ReadOnlySpan<byte> _message = message;
    private int _at;
    private bool _isBroken;

    /// <summary>Number of the field.</summary>
    public int Field { get; private set; }

    /// <summary>Whether the field is text, bytes or a message, in <see cref="Bytes"/>; else it is a number.</summary>
    public bool IsCounted { get; private set; }

    public ReadOnlySpan<byte> Bytes { get; private set; }

    /// <summary>The number as it stands: a double by its bits.</summary>
    public ulong Whole { get; private set; }

    /// <summary>Whether the message came to its end, and in order.</summary>
    public readonly bool IsWhole => !_isBroken && _at == _message.Length;

    /// <returns>False at the end, and where no field stands.</returns>
    public bool TryNext()
    {
        if (_isBroken || _at == _message.Length)
            return false;
        _isBroken = !TryRead();
        return !_isBroken;
    }

    private bool TryRead()
    {
        if (!Varint.TryRead(_message, ref _at, out ulong key) || key >> 3 is 0 or > 536_870_911)
            return false;
        Field = (int)(key >> 3);
        IsCounted = (key & 7) == 2;
        switch (key & 7)
        {
            case 0:
                if (!Varint.TryRead(_message, ref _at, out ulong whole))
                    return false;
                Whole = whole;
                return true;
            case 1:
                if (!TryTake(sizeof(ulong)))
                    return false;
                Whole = BinaryPrimitives.ReadUInt64LittleEndian(Bytes);
                return true;
            case 2:
                return Varint.TryRead(_message, ref _at, out ulong length) && TryTake(length);
            case 5:
                if (!TryTake(sizeof(uint)))
                    return false;
                Whole = BinaryPrimitives.ReadUInt32LittleEndian(Bytes);
                return true;
            default:
                return false; // groups, which went out of use long before Sparkplug
        }
    }

    private bool TryTake(ulong length)
    {
        if (length > (ulong)(_message.Length - _at))
            return false;
        Bytes = _message.Slice(_at, (int)length);
        _at += (int)length;
        return true;
    }
}
