namespace Dancerwatch.EdgeAgent.Recording.Parquet;

/// <summary>
/// Reads Apache Thrift's compact protocol. Every length is checked against what is there: a damaged file gives an exception,
/// never a large allocation or a long loop.
/// </summary>
internal ref struct CompactReader(ReadOnlySpan<byte> bytes)
{
    private const int DeepestNesting = 16;

    private readonly ReadOnlySpan<byte> _bytes = bytes;
    private int _at;

    /// <summary>Bytes read so far.</summary>
    public readonly int Position => _at;

    /// <summary>Steps to the next field of a structure.</summary>
    /// <param name="id">Id of the field before, 0 at first; becomes this one's.</param>
    /// <returns>False at the structure's end.</returns>
    public bool NextField(ref int id, out CompactType type)
    {
        byte header = Byte();
        type = (CompactType)(header & 0x0F);
        if (header == 0)
            return false;
        int step = header >> 4;
        id = step == 0 ? (int)Number() : id + step;
        return true;
    }

    public long Number() => Varint.ZagZig(Unsigned());

    public int SmallNumber()
    {
        long value = Number();
        return value is >= int.MinValue and <= int.MaxValue ? (int)value : throw Damaged();
    }

    public ReadOnlySpan<byte> Binary()
    {
        int length = Length();
        ReadOnlySpan<byte> content = _bytes.Slice(_at, length);
        _at += length;
        return content;
    }

    public string Text() => System.Text.Encoding.UTF8.GetString(Binary());

    /// <summary>Begins a list; as many elements follow as it returns, each at least a byte.</summary>
    public int List(out CompactType element)
    {
        byte header = Byte();
        element = (CompactType)(header & 0x0F);
        return header >> 4 == 15 ? Length() : header >> 4;
    }

    /// <summary>Passes over a value.</summary>
    public void Skip(CompactType type, int depth = 0)
    {
        if (depth > DeepestNesting)
            throw Damaged();
        switch (type)
        {
            case CompactType.True or CompactType.False:
                break;
            case CompactType.I8:
                Byte();
                break;
            case CompactType.I16 or CompactType.I32 or CompactType.I64:
                Unsigned();
                break;
            case CompactType.Double:
                for (int i = 0; i < sizeof(double); i++)
                    Byte();
                break;
            case CompactType.Binary:
                Binary();
                break;
            case CompactType.List or CompactType.Set:
                int count = List(out CompactType element);
                for (int i = 0; i < count; i++)
                {
                    // In a list a truth value takes a byte; as a field it is in the header.
                    if (element is CompactType.True or CompactType.False)
                        Byte();
                    else
                        Skip(element, depth + 1);
                }
                break;
            case CompactType.Struct:
                int id = 0;
                while (NextField(ref id, out CompactType field))
                    Skip(field, depth + 1);
                break;
            default:
                throw Damaged();
        }
    }

    private int Length()
    {
        ulong length = Unsigned();
        return length <= (ulong)(_bytes.Length - _at) ? (int)length : throw Damaged();
    }

    private ulong Unsigned() => Varint.TryRead(_bytes, ref _at, out ulong value) ? value : throw Damaged();

    private byte Byte() => _at < _bytes.Length ? _bytes[_at++] : throw Damaged();

    private static ParquetException Damaged() => new("its description is damaged");
}
