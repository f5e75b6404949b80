using System.Buffers.Binary;

namespace Dancerwatch.EdgeAgent.Recording.Parquet;

/// <summary>Reads what a footer says. Columns within columns, encryption and the like are not read here, and refused.</summary>
internal static class FooterReader
{
    private const int Required = 0;
    private const int Optional = 1;

    /// <exception cref="ParquetException">It is damaged, or of a kind that is not read here.</exception>
    public static Footer Read(ReadOnlySpan<byte> bytes)
    {
        List<Column> columns = [];
        List<RowGroup> groups = [];
        Dictionary<string, string> facts = [];
        CompactReader r = new(bytes);
        int id = 0;
        while (r.NextField(ref id, out CompactType type))
        {
            switch (id)
            {
                case 2 when type == CompactType.List:
                    ReadColumns(ref r, columns);
                    break;
                case 4 when type == CompactType.List:
                    for (int left = r.List(out _); left > 0; left--)
                        groups.Add(ReadRowGroup(ref r));
                    break;
                case 5 when type == CompactType.List:
                    for (int left = r.List(out _); left > 0; left--)
                        ReadFact(ref r, facts);
                    break;
                default:
                    r.Skip(type);
                    break;
            }
        }
        if (groups.Any(group => group.Chunks.Count != columns.Count))
            throw new ParquetException("its description is damaged");
        return new Footer(columns, groups, facts);
    }

    private static void ReadColumns(ref CompactReader r, List<Column> columns)
    {
        int count = r.List(out _);
        for (int i = 0; i < count; i++)
        {
            (Column column, int children) = ReadColumn(ref r);
            // The first is the row as a whole.
            if (i > 0 && children > 0)
                throw new ParquetException($"its column {column.Name} holds columns, which is not read here");
            if (i > 0)
                columns.Add(column);
        }
    }

    private static (Column Column, int Children) ReadColumn(ref CompactReader r)
    {
        int type = -1;
        int repetition = Required;
        int children = 0;
        int older = -1;
        string name = "";
        int id = 0;
        while (r.NextField(ref id, out CompactType field))
        {
            switch (id)
            {
                case 1:
                    type = r.SmallNumber();
                    break;
                case 3:
                    repetition = r.SmallNumber();
                    break;
                case 4:
                    name = r.Text();
                    break;
                case 5:
                    children = r.SmallNumber();
                    break;
                case 6:
                    older = r.SmallNumber();
                    break;
                default:
                    r.Skip(field);
                    break;
            }
        }
        if (repetition is not (Required or Optional))
            throw new ParquetException($"its column {name} holds lists, which is not read here");
        Meaning meaning = older switch
        {
            0 => Meaning.Text,
            10 => Meaning.UtcMicroseconds,
            _ => Meaning.None,
        };
        return (new Column(name, (PhysicalType)type, meaning, repetition == Optional), children);
    }

    private static RowGroup ReadRowGroup(ref CompactReader r)
    {
        List<Chunk> chunks = [];
        long rows = 0;
        int id = 0;
        while (r.NextField(ref id, out CompactType type))
        {
            if (id == 1 && type == CompactType.List)
            {
                for (int left = r.List(out _); left > 0; left--)
                    chunks.Add(ReadChunk(ref r));
            }
            else if (id == 3)
                rows = r.Number();
            else
                r.Skip(type);
        }
        return rows is >= 0 and <= int.MaxValue
            ? new RowGroup((int)rows, chunks)
            : throw new ParquetException("its description is damaged");
    }

    private static Chunk ReadChunk(ref CompactReader r)
    {
        Chunk? chunk = null;
        int id = 0;
        while (r.NextField(ref id, out CompactType type))
        {
            if (id == 3 && type == CompactType.Struct)
                chunk = ReadMeta(ref r);
            else
                r.Skip(type);
        }
        return chunk ?? throw new ParquetException("its description is damaged");
    }

    private static Chunk ReadMeta(ref CompactReader r)
    {
        int codec = 0;
        long bytes = 0;
        long plain = 0;
        long data = 0;
        long dictionary = 0;
        (long, long)? range = null;
        int id = 0;
        while (r.NextField(ref id, out CompactType type))
        {
            switch (id)
            {
                case 4:
                    codec = r.SmallNumber();
                    break;
                case 6:
                    plain = r.Number();
                    break;
                case 7:
                    bytes = r.Number();
                    break;
                case 9:
                    data = r.Number();
                    break;
                case 11:
                    dictionary = r.Number();
                    break;
                case 12 when type == CompactType.Struct:
                    range = ReadRange(ref r);
                    break;
                default:
                    r.Skip(type);
                    break;
            }
        }
        bool hasDictionary = dictionary > 0 && dictionary < data;
        if (bytes is < 0 or > int.MaxValue || data < 0)
            throw new ParquetException("its description is damaged");
        return new Chunk(
            (Codec)codec,
            hasDictionary ? dictionary : data,
            (int)bytes,
            plain,
            hasDictionary ? (int)Math.Min(data - dictionary, int.MaxValue) : 0,
            Nulls: 0,
            range
        );
    }

    private static (long, long)? ReadRange(ref CompactReader r)
    {
        long? least = null;
        long? greatest = null;
        int id = 0;
        while (r.NextField(ref id, out CompactType type))
        {
            if (id is 5 or 6 && type == CompactType.Binary)
            {
                ReadOnlySpan<byte> value = r.Binary();
                long? number =
                    value.Length == sizeof(long) ? BinaryPrimitives.ReadInt64LittleEndian(value) : null;
                if (id == 5)
                    greatest = number;
                else
                    least = number;
            }
            else
                r.Skip(type);
        }
        return least is { } from && greatest is { } to ? (from, to) : null;
    }

    private static void ReadFact(ref CompactReader r, Dictionary<string, string> facts)
    {
        string key = "";
        string value = "";
        int id = 0;
        while (r.NextField(ref id, out CompactType type))
        {
            if (id == 1)
                key = r.Text();
            else if (id == 2)
                value = r.Text();
            else
                r.Skip(type);
        }
        facts[key] = value;
    }
}
