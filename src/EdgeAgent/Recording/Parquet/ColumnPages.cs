using System.Buffers.Binary;
using System.IO.Compression;
using System.Runtime.InteropServices;

namespace Dancerwatch.EdgeAgent.Recording.Parquet;

/// <summary>Decodes the pages of one column chunk. Its buffers are reused from chunk to chunk.</summary>
internal sealed class ColumnPages
{
    /// <summary>Larger than any page of a recording.</summary>
    private const int LargestPage = 64 << 20;

    private byte[] _bytes = [];
    private int _length;
    private int _at;
    private Codec _codec;
    private bool _isOptional;
    private byte[] _page = [];
    private long[] _dictionary = [];
    private int _entries;
    private string[] _texts = [];
    private int[] _present = [];
    private int[] _places = [];

    /// <param name="chunk">All its pages; not copied.</param>
    public void Begin(ArraySegment<byte> chunk, Codec codec, bool isOptional)
    {
        (_bytes, _at, _length) = (chunk.Array!, chunk.Offset, chunk.Offset + chunk.Count);
        (_codec, _isOptional, _entries) = (codec, isOptional, 0);
    }

    /// <summary>Values of 8 bytes; what is missing is left as it was.</summary>
    /// <returns>Whether none was missing.</returns>
    public bool ReadAll(Span<long> into)
    {
        bool whole = true;
        int filled = 0;
        while (filled < into.Length)
        {
            (PageHeader header, ReadOnlyMemory<byte> content) = NextPage();
            if (header.Type == PageType.Dictionary)
            {
                ReadDictionary(header, content.Span);
                continue;
            }
            int rows = RowsOf(header, into.Length - filled);
            ReadOnlySpan<byte> values = content.Span;
            int known = ReadLevels(ref values, rows);
            whole &= known == rows;
            Span<long> page = into.Slice(filled, rows);
            ReadValues(header.Encoding, values, page[..known]);
            if (known < rows)
                Spread(page, known);
            filled += rows;
        }
        return whole;
    }

    /// <summary>Places of texts; none may be missing.</summary>
    public IReadOnlyList<string> ReadTexts(Span<int> into)
    {
        int filled = 0;
        while (filled < into.Length)
        {
            (PageHeader header, ReadOnlyMemory<byte> content) = NextPage();
            if (header.Type == PageType.Dictionary)
            {
                _texts = TextsIn(content.Span, header.Values);
                _entries = _texts.Length;
                continue;
            }
            int rows = RowsOf(header, into.Length - filled);
            ReadOnlySpan<byte> values = content.Span;
            if (ReadLevels(ref values, rows) < rows || IsPlain(header.Encoding))
                throw new ParquetException("a column of texts is not written by dictionary");
            ReadPlaces(values, into.Slice(filled, rows));
            filled += rows;
        }
        return _texts;
    }

    private void ReadValues(Encoding encoding, ReadOnlySpan<byte> values, Span<long> into)
    {
        if (IsPlain(encoding))
        {
            if (values.Length < into.Length * sizeof(long))
                throw new ParquetException("a page of it is damaged");
            values[..(into.Length * sizeof(long))].CopyTo(MemoryMarshal.AsBytes(into));
            return;
        }
        if (_places.Length < into.Length)
            _places = new int[into.Length];
        Span<int> places = _places.AsSpan(0, into.Length);
        ReadPlaces(values, places);
        for (int i = 0; i < into.Length; i++)
            into[i] = _dictionary[places[i]];
    }

    private void ReadPlaces(ReadOnlySpan<byte> values, Span<int> into)
    {
        if (into.Length == 0)
            return;
        if (values.Length == 0)
            throw new ParquetException("a page of it is damaged");
        RunLengths.Read(values[1..], values[0], into);
        foreach (int place in into)
        {
            if (place >= _entries)
                throw new ParquetException("a page of it is damaged");
        }
    }

    /// <summary>Moves values that stand close together to the rows that have one; the others become NaN.</summary>
    private void Spread(Span<long> page, int known)
    {
        for (int row = page.Length - 1; row >= 0; row--)
            page[row] = _present[row] == 1 ? page[--known] : BitConverter.DoubleToInt64Bits(double.NaN);
    }

    private int ReadLevels(ref ReadOnlySpan<byte> content, int rows)
    {
        if (!_isOptional)
            return rows;
        if (_present.Length < rows)
            _present = new int[rows];
        if (content.Length < sizeof(int))
            throw new ParquetException("a page of it is damaged");
        int length = BinaryPrimitives.ReadInt32LittleEndian(content);
        if (length < 0 || length > content.Length - sizeof(int))
            throw new ParquetException("a page of it is damaged");
        RunLengths.Read(content.Slice(sizeof(int), length), bits: 1, _present.AsSpan(0, rows));
        content = content[(sizeof(int) + length)..];
        int known = 0;
        foreach (int present in _present.AsSpan(0, rows))
            known += present;
        return known;
    }

    private void ReadDictionary(PageHeader header, ReadOnlySpan<byte> content)
    {
        if (header.Values < 0 || content.Length / sizeof(long) < header.Values)
            throw new ParquetException("a page of it is damaged");
        if (_dictionary.Length < header.Values)
            _dictionary = new long[header.Values];
        content[..(header.Values * sizeof(long))].CopyTo(MemoryMarshal.AsBytes(_dictionary.AsSpan()));
        _entries = header.Values;
    }

    private static string[] TextsIn(ReadOnlySpan<byte> content, int count)
    {
        if (count < 0 || count > content.Length / sizeof(int))
            throw new ParquetException("a page of it is damaged");
        string[] texts = new string[count];
        for (int i = 0; i < count; i++)
        {
            int length = content.Length < sizeof(int) ? -1 : BinaryPrimitives.ReadInt32LittleEndian(content);
            if (length < 0 || length > content.Length - sizeof(int))
                throw new ParquetException("a page of it is damaged");
            texts[i] = System.Text.Encoding.UTF8.GetString(content.Slice(sizeof(int), length));
            content = content[(sizeof(int) + length)..];
        }
        return texts;
    }

    private (PageHeader Header, ReadOnlyMemory<byte> Content) NextPage()
    {
        PageHeader header = PageHeader.Read(_bytes.AsSpan(_at.._length), out int headerLength);
        _at += headerLength;
        if (header.Bytes < 0 || header.Bytes > _length - _at || header.PlainBytes is < 0 or > LargestPage)
            throw new ParquetException("a page of it is damaged");
        ReadOnlyMemory<byte> content = _bytes.AsMemory(_at, header.Bytes);
        _at += header.Bytes;
        switch (_codec)
        {
            case Codec.Uncompressed:
                return (header, content);
            case Codec.Gzip:
                return (header, Unpack(_at - header.Bytes, header));
            default:
                throw new ParquetException(
                    $"it is compressed by codec {(int)_codec}, which is not read here"
                );
        }
    }

    private ReadOnlyMemory<byte> Unpack(int at, PageHeader header)
    {
        if (_page.Length < header.PlainBytes)
            _page = new byte[header.PlainBytes];
        Memory<byte> content = _page.AsMemory(0, header.PlainBytes);
        try
        {
            using GZipStream gzip = new(
                new MemoryStream(_bytes, at, header.Bytes, writable: false),
                CompressionMode.Decompress
            );
            gzip.ReadExactly(content.Span);
            // To its very end, where its checksum is.
            if (gzip.ReadByte() >= 0)
                throw new ParquetException("a page of it is damaged");
        }
        catch (Exception e) when (e is InvalidDataException or EndOfStreamException)
        {
            throw new ParquetException("a page of it is damaged", e);
        }
        return content;
    }

    private static int RowsOf(PageHeader header, int left) =>
        header.Type == PageType.Data && header.Values > 0 && header.Values <= left
            ? header.Values
            : throw new ParquetException("a page of it is damaged");

    private static bool IsPlain(Encoding encoding) =>
        encoding switch
        {
            Encoding.Plain => true,
            Encoding.RleDictionary or Encoding.PlainDictionary => false,
            _ => throw new ParquetException(
                $"it is written in encoding {(int)encoding}, which is not read here"
            ),
        };
}
