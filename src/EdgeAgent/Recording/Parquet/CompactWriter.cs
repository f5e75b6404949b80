using System.Buffers;

namespace Dancerwatch.EdgeAgent.Recording.Parquet;

/// <summary>
/// Writes Apache Thrift's compact protocol, in which Parquet's metadata is written: fields in rising order of their ids.
/// </summary>
internal sealed class CompactWriter(IBufferWriter<byte> into)
{
    private readonly Stack<int> _outer = [];
    private int _lastId;

    public void Field(int id, int value) => Number(id, CompactType.I32, value);

    public void Field(int id, long value) => Number(id, CompactType.I64, value);

    public void Field(int id, bool value) => Header(id, value ? CompactType.True : CompactType.False);

    public void Field(int id, string text) => Field(id, System.Text.Encoding.UTF8.GetBytes(text));

    public void Field(int id, ReadOnlySpan<byte> bytes)
    {
        Header(id, CompactType.Binary);
        Binary(bytes);
    }

    /// <summary>Begins a field that is a structure; ends with <see cref="End"/>.</summary>
    public void Begin(int id)
    {
        Header(id, CompactType.Struct);
        BeginElement();
    }

    /// <summary>Begins a structure that is no field: an element of a list, or the outermost. Ends with <see cref="End"/>.</summary>
    public void BeginElement()
    {
        _outer.Push(_lastId);
        _lastId = 0;
    }

    public void End()
    {
        Byte(0);
        _lastId = _outer.Pop();
    }

    /// <summary>Begins a list; its elements follow.</summary>
    public void List(int id, CompactType element, int count)
    {
        Header(id, CompactType.List);
        if (count < 15)
        {
            Byte((byte)((count << 4) | (int)element));
            return;
        }
        Byte((byte)(0xF0 | (int)element));
        Varint.Write(into, (ulong)count);
    }

    public void Element(int value) => Varint.Write(into, Varint.ZigZag(value));

    public void Element(string text) => Binary(System.Text.Encoding.UTF8.GetBytes(text));

    private void Number(int id, CompactType type, long value)
    {
        Header(id, type);
        Varint.Write(into, Varint.ZigZag(value));
    }

    private void Header(int id, CompactType type)
    {
        int step = id - _lastId;
        _lastId = id;
        if (step is < 1 or > 15)
            throw new ArgumentOutOfRangeException(nameof(id), id, "fields rise by 1 to 15");
        Byte((byte)((step << 4) | (int)type));
    }

    private void Binary(ReadOnlySpan<byte> bytes)
    {
        Varint.Write(into, (ulong)bytes.Length);
        into.Write(bytes);
    }

    private void Byte(byte value) => into.Write([value]);
}

/// <summary>Types of the compact protocol.</summary>
internal enum CompactType
{
    True = 1,
    False = 2,
    I8 = 3,
    I16 = 4,
    I32 = 5,
    I64 = 6,
    Double = 7,
    Binary = 8,
    List = 9,
    Set = 10,
    Map = 11,
    Struct = 12,
}
