using System.Buffers.Binary;
using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;

namespace Dancerwatch.EdgeAgent.Recording.Parquet;

/// <summary>
/// Reads the kind of Parquet file that <see cref="ParquetWriter"/> writes, also where another tool wrote it: flat columns of
/// whole numbers, numbers and texts, plain or by dictionary, by gzip or not compressed. Never trusts a length. One thread.
/// </summary>
internal sealed class ParquetReader : IDisposable
{
    private const int MarkLength = 4;
    private const int EndingLength = sizeof(int) + MarkLength;
    private const int LargestFooter = 64 << 20;

    private readonly SafeFileHandle _file;
    private readonly long _length;
    private readonly ColumnPages _pages = new();
    private byte[] _chunk = [];

    /// <exception cref="ParquetException">It is no whole Parquet file, or one of another kind.</exception>
    public ParquetReader(string path)
    {
        _file = File.OpenHandle(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        try
        {
            _length = RandomAccess.GetLength(_file);
            Footer = FooterReader.Read(ReadFooter());
            foreach (Chunk chunk in Footer.RowGroups.SelectMany(group => group.Chunks))
            {
                if (chunk.Offset < MarkLength || chunk.Offset + chunk.Bytes > _length - EndingLength)
                    throw new ParquetException("its description does not fit its length");
            }
        }
        catch
        {
            _file.Dispose();
            throw;
        }
    }

    public Footer Footer { get; }

    /// <summary>What is wrong with a file, by its footer; null where it looks whole.</summary>
    public static string? Trouble(string path)
    {
        try
        {
            using ParquetReader file = new(path);
            return null;
        }
        catch (ParquetException e)
        {
            return e.Message;
        }
    }

    /// <summary>Whole numbers of a column that misses none.</summary>
    public void Read(int rowGroup, int column, Span<long> into)
    {
        Chunk chunk = Load(rowGroup, column, PhysicalType.Int64, into.Length);
        _pages.Begin(new(_chunk, 0, chunk.Bytes), chunk.Codec, Footer.Columns[column].IsOptional);
        if (!_pages.ReadAll(into))
            throw new ParquetException($"its column {Footer.Columns[column].Name} misses values");
    }

    /// <summary>Numbers; NaN where one is missing.</summary>
    public void Read(int rowGroup, int column, Span<double> into)
    {
        Chunk chunk = Load(rowGroup, column, PhysicalType.Double, into.Length);
        _pages.Begin(new(_chunk, 0, chunk.Bytes), chunk.Codec, Footer.Columns[column].IsOptional);
        into.Fill(double.NaN);
        _pages.ReadAll(MemoryMarshal.Cast<double, long>(into));
    }

    /// <summary>Texts of a column that misses none, as places among the texts that it returns.</summary>
    public IReadOnlyList<string> Read(int rowGroup, int column, Span<int> into)
    {
        Chunk chunk = Load(rowGroup, column, PhysicalType.ByteArray, into.Length);
        _pages.Begin(new(_chunk, 0, chunk.Bytes), chunk.Codec, Footer.Columns[column].IsOptional);
        return _pages.ReadTexts(into);
    }

    public void Dispose() => _file.Dispose();

    private Chunk Load(int rowGroup, int column, PhysicalType type, int rows)
    {
        RowGroup group = Footer.RowGroups[rowGroup];
        Column described = Footer.Columns[column];
        if (described.Type != type)
            throw new ParquetException($"its column {described.Name} is of another type than {type}");
        if (group.Rows != rows)
            throw new ArgumentException($"the row group has {group.Rows} rows", nameof(rows));
        Chunk chunk = group.Chunks[column];
        if (_chunk.Length < chunk.Bytes)
            _chunk = new byte[chunk.Bytes];
        ReadAt(chunk.Offset, _chunk.AsSpan(0, chunk.Bytes));
        return chunk;
    }

    private byte[] ReadFooter()
    {
        if (_length < MarkLength + EndingLength)
            throw new ParquetException("it is too short to be a recording");
        byte[] ending = new byte[EndingLength];
        ReadAt(_length - EndingLength, ending);
        int length = BinaryPrimitives.ReadInt32LittleEndian(ending);
        if (!ending.AsSpan(sizeof(int)).SequenceEqual("PAR1"u8))
            throw new ParquetException("its end is missing");
        if (length is <= 0 or > LargestFooter || length > _length - EndingLength - MarkLength)
            throw new ParquetException("its description is damaged");
        byte[] footer = new byte[length];
        ReadAt(_length - EndingLength - length, footer);
        return footer;
    }

    private void ReadAt(long offset, Span<byte> into)
    {
        for (int read = 0; read < into.Length; )
        {
            int more = RandomAccess.Read(_file, into[read..], offset + read);
            if (more == 0)
                throw new ParquetException("its end is missing");
            read += more;
        }
    }
}
