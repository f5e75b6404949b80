namespace Dancerwatch.EdgeAgent.Recording.Parquet;

/// <summary>What stands before each page.</summary>
/// <param name="PlainBytes">Length of its content, bytes.</param>
/// <param name="Bytes">Length as it is in the file, compressed.</param>
/// <param name="Values">Rows of a data page, missing values included; entries of a dictionary.</param>
internal readonly record struct PageHeader(
    PageType Type,
    int PlainBytes,
    int Bytes,
    int Values,
    Encoding Encoding
)
{
    /// <param name="length">Bytes it takes itself.</param>
    public static PageHeader Read(ReadOnlySpan<byte> bytes, out int length)
    {
        PageHeader header = default;
        CompactReader r = new(bytes);
        int id = 0;
        while (r.NextField(ref id, out CompactType type))
        {
            switch (id)
            {
                case 1:
                    header = header with { Type = (PageType)r.SmallNumber() };
                    break;
                case 2:
                    header = header with { PlainBytes = r.SmallNumber() };
                    break;
                case 3:
                    header = header with { Bytes = r.SmallNumber() };
                    break;
                case 5 or 7 when type == CompactType.Struct:
                    header = ReadContent(ref r, header);
                    break;
                default:
                    r.Skip(type);
                    break;
            }
        }
        length = r.Position;
        return header.Type is PageType.Data or PageType.Dictionary
            ? header
            : throw new ParquetException($"it has pages of type {(int)header.Type}, which are not read here");
    }

    private static PageHeader ReadContent(ref CompactReader r, PageHeader header)
    {
        int id = 0;
        while (r.NextField(ref id, out CompactType type))
        {
            if (id == 1)
                header = header with { Values = r.SmallNumber() };
            else if (id == 2)
                header = header with { Encoding = (Encoding)r.SmallNumber() };
            else
                r.Skip(type);
        }
        return header;
    }
}
