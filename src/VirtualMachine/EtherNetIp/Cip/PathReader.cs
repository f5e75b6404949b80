namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

internal enum SegmentKind
{
    /// <summary>Past the last segment, or one that cannot be read: <see cref="PathReader.IsBroken"/> tells which.</summary>
    None,
    Port,
    Class,
    Instance,
    Member,
    ConnectionPoint,
    Attribute,
    Symbol,
}

/// <summary>One step of a path.</summary>
internal readonly ref struct Segment
{
    public SegmentKind Kind { get; init; }

    /// <summary>Id of a logical segment; port number of a port segment.</summary>
    public uint Number { get; init; }

    /// <summary>Name in ASCII of a symbol; link address of a port.</summary>
    public ReadOnlySpan<byte> Text { get; init; }
}

/// <summary>
/// Reads a padded EPATH step by step (CIP volume 1, appendix C-1; from memory). Electronic keys are stepped over: whoever
/// asks for a certain controller gets this one.
/// </summary>
internal ref struct PathReader(ReadOnlySpan<byte> path)
{
    private const byte ExtendedSymbol = 0x91;
    private const byte ElectronicKey = 0x34;
    private ByteReader _bytes = new(path);

    /// <summary>A segment of unknown or half form was met.</summary>
    public bool IsBroken { get; private set; }

    public readonly bool AtEnd => _bytes.Left.IsEmpty;

    public readonly ReadOnlySpan<byte> Left => _bytes.Left;

    public Segment Next()
    {
        IsBroken = _bytes.RanOut;
        if (AtEnd)
            return default;
        byte type = _bytes.Byte();
        if (type == ElectronicKey)
        {
            _bytes.Take(_bytes.Byte() == 4 ? 8 : 0);
            return Next();
        }
        Segment segment = (type >> 5) switch
        {
            0 => ReadPort(type),
            1 => ReadLogical(type),
            _ when type == ExtendedSymbol => ReadSymbol(),
            _ => default,
        };
        IsBroken = segment.Kind == SegmentKind.None || _bytes.RanOut;
        return IsBroken ? default : segment;
    }

    private Segment ReadPort(byte type)
    {
        bool longLink = (type & 0x10) != 0;
        uint port = (uint)(type & 0x0F);
        int linkLength = longLink ? _bytes.Byte() : 1;
        if (port == 0x0F)
            port = _bytes.UInt16();
        ReadOnlySpan<byte> link = _bytes.Take(linkLength);
        if (longLink && linkLength % 2 == 1)
            _bytes.Byte();
        return new()
        {
            Kind = port == 0 ? SegmentKind.None : SegmentKind.Port,
            Number = port,
            Text = link,
        };
    }

    private Segment ReadLogical(byte type)
    {
        SegmentKind kind = ((type >> 2) & 0x07) switch
        {
            0 => SegmentKind.Class,
            1 => SegmentKind.Instance,
            2 => SegmentKind.Member,
            3 => SegmentKind.ConnectionPoint,
            4 => SegmentKind.Attribute,
            _ => SegmentKind.None,
        };
        return new() { Kind = (type & 0x03) == 3 ? SegmentKind.None : kind, Number = ReadId(type & 0x03) };
    }

    private uint ReadId(int format)
    {
        if (format == 0)
            return _bytes.Byte();
        _bytes.Byte();
        return format == 1 ? _bytes.UInt16() : _bytes.UInt32();
    }

    private Segment ReadSymbol()
    {
        int length = _bytes.Byte();
        ReadOnlySpan<byte> name = _bytes.Take(length);
        if (length % 2 == 1)
            _bytes.Byte();
        return new() { Kind = length == 0 ? SegmentKind.None : SegmentKind.Symbol, Text = name };
    }
}
