using System.Buffers;
using System.Buffers.Binary;
using System.IO.Compression;
using System.Runtime.InteropServices;

namespace Dancerwatch.EdgeAgent.Recording.Parquet;

/// <summary>
/// Writes a Parquet file, row group by row group: flat columns, values plain or by dictionary, pages compressed by gzip
/// (whose own CRC-32 finds a damaged page). Source: Apache Parquet, parquet-format 2.x, README.md, Encodings.md and
/// parquet.thrift. One thread.
/// </summary>
/// <param name="into">Only ever appended to.</param>
/// <param name="scratch">Used by nobody else while a row group is written.</param>
internal sealed class ParquetWriter(
    Stream into,
    IReadOnlyList<Column> columns,
    IReadOnlyDictionary<string, string> facts,
    PageScratch scratch
)
{
    private static readonly byte[] s_mark = "PAR1"u8.ToArray();

    private const int MostDictionaryEntries = 4096;

    private readonly List<RowGroup> _rowGroups = [];
    private readonly List<Chunk> _chunks = [];
    private readonly ArrayBufferWriter<byte> _page = scratch.Page;
    private readonly ArrayBufferWriter<byte> _header = scratch.Header;
    private readonly MemoryStream _packed = scratch.Packed;
    private readonly Dictionary<long, int> _places = scratch.Places;
    private readonly List<long> _entries = scratch.Entries;
    private long _offset;
    private long _plainBytes;
    private int _rows;

    /// <summary>Begins a row group; then each column is added, in their order.</summary>
    public void BeginRowGroup(int rows)
    {
        if (_offset == 0)
            Append(s_mark);
        _rows = rows;
        scratch.Begin(rows);
    }

    /// <summary>Whole numbers, none missing.</summary>
    public void Add(ReadOnlySpan<long> numbers)
    {
        long begin = BeginChunk();
        int dictionary = AddValues(numbers, present: 0, isOptional: false);
        long least = long.MaxValue;
        long greatest = long.MinValue;
        foreach (long number in numbers)
            (least, greatest) = (Math.Min(least, number), Math.Max(greatest, number));
        EndChunk(begin, dictionary, nulls: 0, (least, greatest));
    }

    /// <summary>Numbers; NaN is written as missing.</summary>
    public void Add(ReadOnlySpan<double> numbers)
    {
        long begin = BeginChunk();
        int known = 0;
        for (int i = 0; i < numbers.Length; i++)
        {
            bool isKnown = !double.IsNaN(numbers[i]);
            scratch.Present[i] = isKnown ? 1 : 0;
            if (isKnown)
                scratch.Known[known++] = numbers[i];
        }
        int dictionary = AddValues(
            MemoryMarshal.Cast<double, long>(scratch.Known.AsSpan(0, known)),
            numbers.Length,
            isOptional: true
        );
        EndChunk(begin, dictionary, numbers.Length - known, range: null);
    }

    /// <summary>Texts out of a few; none missing.</summary>
    /// <param name="places">Place of each row's text among them.</param>
    public void Add(IReadOnlyList<string> texts, ReadOnlySpan<int> places)
    {
        long begin = BeginChunk();
        foreach (string text in texts)
        {
            byte[] bytes = System.Text.Encoding.UTF8.GetBytes(text);
            WriteLittle(bytes.Length);
            _page.Write(bytes);
        }
        int dictionary = EndPage(PageType.Dictionary, texts.Count, Encoding.Plain);
        WriteIndices(places, texts.Count);
        EndPage(PageType.Data, places.Length, Encoding.RleDictionary);
        EndChunk(begin, dictionary, nulls: 0, range: null);
    }

    public void EndRowGroup()
    {
        _rowGroups.Add(new RowGroup(_rows, [.. _chunks]));
        _chunks.Clear();
    }

    /// <summary>Writes the footer. Without it the file cannot be read.</summary>
    public void Finish()
    {
        if (_offset == 0)
            Append(s_mark);
        _header.ResetWrittenCount();
        new Footer(columns, _rowGroups, facts).Write(_header);
        int length = _header.WrittenCount;
        Append(_header.WrittenSpan);
        byte[] ending = new byte[sizeof(int)];
        BinaryPrimitives.WriteInt32LittleEndian(ending, length);
        Append(ending);
        Append(s_mark);
    }

    /// <returns>Bytes of the dictionary page; 0 where the values are written plain.</returns>
    private int AddValues(ReadOnlySpan<long> values, int present, bool isOptional)
    {
        int dictionary = 0;
        bool few = FindEntries(values);
        if (few)
        {
            _page.Write(MemoryMarshal.AsBytes(CollectionsMarshal.AsSpan(_entries)));
            dictionary = EndPage(PageType.Dictionary, _entries.Count, Encoding.Plain);
        }
        if (isOptional)
            WriteLevels(scratch.Present.AsSpan(0, present));
        if (few)
            WriteIndices(scratch.Indices.AsSpan(0, values.Length), _entries.Count);
        else
            _page.Write(MemoryMarshal.AsBytes(values));
        EndPage(PageType.Data, _rows, few ? Encoding.RleDictionary : Encoding.Plain);
        return dictionary;
    }

    /// <summary>Gathers the different values, by their bits, in the order in which they come.</summary>
    /// <returns>False where there are too many for a dictionary to be of use.</returns>
    private bool FindEntries(ReadOnlySpan<long> values)
    {
        _places.Clear();
        _entries.Clear();
        int most = Math.Min(MostDictionaryEntries, values.Length / 2);
        for (int i = 0; i < values.Length; i++)
        {
            ref int place = ref CollectionsMarshal.GetValueRefOrAddDefault(
                _places,
                values[i],
                out bool isThere
            );
            if (!isThere)
            {
                if (_entries.Count >= most)
                    return false;
                place = _entries.Count;
                _entries.Add(values[i]);
            }
            scratch.Indices[i] = place;
        }
        return _entries.Count > 0;
    }

    private void WriteIndices(ReadOnlySpan<int> indices, int entries)
    {
        int bits = RunLengths.BitsFor(entries - 1);
        _page.Write([(byte)bits]);
        RunLengths.Write(indices, bits, _page);
    }

    /// <summary>Definition levels: 1 for a value, 0 for none; their length goes before them.</summary>
    private void WriteLevels(ReadOnlySpan<int> present)
    {
        int begin = _page.WrittenCount;
        WriteLittle(0);
        RunLengths.Write(present, bits: 1, _page);
        int length = _page.WrittenCount - begin - sizeof(int);
        BinaryPrimitives.WriteInt32LittleEndian(
            MemoryMarshal.AsMemory(_page.WrittenMemory).Span[begin..],
            length
        );
    }

    private long BeginChunk()
    {
        _plainBytes = 0;
        return _offset;
    }

    private void EndChunk(long begin, int dictionary, int nulls, (long, long)? range) =>
        _chunks.Add(
            new Chunk(
                Codec.Gzip,
                begin,
                (int)(_offset - begin),
                _plainBytes,
                dictionary,
                nulls,
                _rows > 0 ? range : null
            )
        );

    /// <summary>Compresses what was written to the page and appends it with its header.</summary>
    /// <returns>Bytes it takes in the file.</returns>
    private int EndPage(PageType type, int values, Encoding encoding)
    {
        _packed.SetLength(0);
        using (GZipStream gzip = new(_packed, CompressionLevel.Fastest, leaveOpen: true))
            gzip.Write(_page.WrittenSpan);
        _header.ResetWrittenCount();
        CompactWriter w = new(_header);
        w.BeginElement();
        w.Field(1, (int)type);
        w.Field(2, _page.WrittenCount);
        w.Field(3, (int)_packed.Length);
        w.Begin(type == PageType.Data ? 5 : 7);
        w.Field(1, values);
        w.Field(2, (int)encoding);
        if (type == PageType.Data)
        {
            w.Field(3, (int)Encoding.Rle);
            w.Field(4, (int)Encoding.Rle);
        }
        w.End();
        w.End();
        _plainBytes += _header.WrittenCount + _page.WrittenCount;
        int bytes = _header.WrittenCount + (int)_packed.Length;
        Append(_header.WrittenSpan);
        Append(_packed.GetBuffer().AsSpan(0, (int)_packed.Length));
        _page.ResetWrittenCount();
        return bytes;
    }

    private void WriteLittle(int number)
    {
        BinaryPrimitives.WriteInt32LittleEndian(_page.GetSpan(sizeof(int)), number);
        _page.Advance(sizeof(int));
    }

    private void Append(ReadOnlySpan<byte> bytes)
    {
        into.Write(bytes);
        _offset += bytes.Length;
    }
}
