using System.Buffers;

namespace Dancerwatch.EdgeAgent.Recording.Parquet;

/// <summary>
/// What a writer needs while it makes pages: about 0.7 MB that all files of one thread share, one after the other or in turns
/// of a row group, instead of each leaving as much garbage behind. Holds nothing from one row group to the next.
/// </summary>
internal sealed class PageScratch
{
    public ArrayBufferWriter<byte> Page { get; } = new();
    public ArrayBufferWriter<byte> Header { get; } = new();
    public MemoryStream Packed { get; } = new();

    /// <summary>The different values of a column, and the place of each.</summary>
    public Dictionary<long, int> Places { get; } = [];

    /// <inheritdoc cref="Places"/>
    public List<long> Entries { get; } = [];

    // A value for each row.
    public int[] Indices { get; private set; } = [];
    public int[] Present { get; private set; } = [];
    public double[] Known { get; private set; } = [];
    public long[] Whole { get; private set; } = [];

    /// <summary>Begins a row group, with nothing left of one that was broken off.</summary>
    public void Begin(int rows)
    {
        Page.ResetWrittenCount();
        Header.ResetWrittenCount();
        Packed.SetLength(0);
        if (Indices.Length < rows)
        {
            Indices = new int[rows];
            Present = new int[rows];
            Known = new double[rows];
            Whole = new long[rows];
        }
    }
}
