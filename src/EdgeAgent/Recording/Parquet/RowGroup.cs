using System.Buffers.Binary;

namespace Dancerwatch.EdgeAgent.Recording.Parquet;

/// <summary>Some rows of a file: one chunk for each column.</summary>
internal sealed record RowGroup(int Rows, IReadOnlyList<Chunk> Chunks)
{
    public void Write(CompactWriter w, IReadOnlyList<Column> columns, int place)
    {
        w.BeginElement();
        w.List(1, CompactType.Struct, Chunks.Count);
        for (int i = 0; i < Chunks.Count; i++)
            Chunks[i].Write(w, columns[i], Rows);
        w.Field(2, Chunks.Sum(chunk => chunk.PlainBytes));
        w.Field(3, (long)Rows);
        w.Field(5, Chunks[0].Offset);
        w.Field(6, Chunks.Sum(chunk => (long)chunk.Bytes));
        w.End();
    }
}

/// <summary>The values of one column in one row group.</summary>
/// <param name="Offset">Where its first page begins in the file, bytes.</param>
/// <param name="Bytes">What its pages take there, headers included.</param>
/// <param name="PlainBytes">The same before compression.</param>
/// <param name="DictionaryBytes">What the dictionary page takes, which comes first; 0 where there is none.</param>
/// <param name="Range">Least and greatest value, of whole numbers.</param>
internal sealed record Chunk(
    Codec Codec,
    long Offset,
    int Bytes,
    long PlainBytes,
    int DictionaryBytes,
    int Nulls,
    (long Least, long Greatest)? Range
)
{
    public void Write(CompactWriter w, Column column, int rows)
    {
        w.BeginElement();
        w.Field(2, Offset);
        w.Begin(3);
        w.Field(1, (int)column.Type);
        w.List(2, CompactType.I32, DictionaryBytes > 0 ? 3 : 2);
        w.Element((int)Encoding.Plain);
        w.Element((int)Encoding.Rle);
        if (DictionaryBytes > 0)
            w.Element((int)Encoding.RleDictionary);
        w.List(3, CompactType.Binary, 1);
        w.Element(column.Name);
        w.Field(4, (int)Codec);
        w.Field(5, (long)rows);
        w.Field(6, PlainBytes);
        w.Field(7, (long)Bytes);
        w.Field(9, Offset + DictionaryBytes);
        if (DictionaryBytes > 0)
            w.Field(11, Offset);
        w.Begin(12);
        w.Field(3, (long)Nulls);
        if (Range is { } range)
        {
            w.Field(5, Bytes8(range.Greatest));
            w.Field(6, Bytes8(range.Least));
        }
        w.End();
        w.End();
        w.End();
    }

    private static ReadOnlySpan<byte> Bytes8(long number)
    {
        byte[] bytes = new byte[sizeof(long)];
        BinaryPrimitives.WriteInt64LittleEndian(bytes, number);
        return bytes;
    }
}
