namespace Dancerwatch.EdgeAgent.Recording.Parquet;

// Numbers of the Apache Parquet format (parquet.thrift of parquet-format 2.x), as far as recordings use them.

/// <summary>Physical types.</summary>
internal enum PhysicalType
{
    Int64 = 2,
    Double = 5,
    ByteArray = 6,
}

/// <summary>How the values of a page are laid out.</summary>
internal enum Encoding
{
    Plain = 0,

    /// <summary>The older name of <see cref="RleDictionary"/> in data pages, and of <see cref="Plain"/> in dictionary pages.</summary>
    PlainDictionary = 2,
    Rle = 3,
    RleDictionary = 8,
}

/// <summary>How a page is compressed.</summary>
internal enum Codec
{
    Uncompressed = 0,
    Gzip = 2,
}

/// <summary>What a page holds.</summary>
internal enum PageType
{
    Data = 0,
    Dictionary = 2,
}

/// <summary>What the values of a column mean beyond their physical type.</summary>
internal enum Meaning
{
    None,

    /// <summary>UTF-8 text.</summary>
    Text,

    /// <summary>Microseconds since 1970-01-01 UTC.</summary>
    UtcMicroseconds,
}

/// <summary>One column of a file.</summary>
/// <param name="IsOptional">Values may be missing (null).</param>
internal sealed record Column(string Name, PhysicalType Type, Meaning Meaning, bool IsOptional);

/// <summary>A file that is not whole, or not of the kind that is read here: one sentence, without the file's name.</summary>
internal sealed class ParquetException(string message, Exception? inner = null) : IOException(message, inner);
