using Dancerwatch.EdgeAgent.Recording.Parquet;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>Reads a recording's Parquet file batch by batch. One thread.</summary>
internal sealed class ReadingFileReader : IDisposable
{
    private readonly ParquetReader _parquet;
    private readonly IReadOnlyList<Signal> _signals;
    private readonly int[] _places;
    private readonly int _run;
    private readonly int _ticks;
    private readonly int _time;
    private readonly int _quality;
    private readonly long[] _runs = new long[ReadingBatch.Capacity];
    private readonly int[] _qualities = new int[ReadingBatch.Capacity];

    /// <exception cref="IOException">It is damaged, of another kind, or cannot be read; the message says which.</exception>
    public ReadingFileReader(string path)
    {
        _parquet = new ParquetReader(path);
        Footer footer = _parquet.Footer;
        try
        {
            _run = Required(footer, ReadingFile.Run);
            _ticks = Required(footer, ReadingFile.Ticks);
            _time = Required(footer, ReadingFile.Time);
            _quality = Required(footer, ReadingFile.QualityColumn);
            if (footer.RowGroups.Any(group => group.Rows > ReadingBatch.Capacity))
                throw new ParquetException(
                    $"it has row groups of more than {ReadingBatch.Capacity} rows, which are not read here"
                );
        }
        catch
        {
            _parquet.Dispose();
            throw;
        }
        _signals = ReadingFile.SignalsIn(footer);
        _places = [.. _signals.Select(signal => footer.PlaceOf(signal.Code()))];
    }

    public IReadOnlyList<Signal> Signals => _signals;

    public IReadOnlyDictionary<string, string> Facts => _parquet.Footer.Facts;

    public int Batches => _parquet.Footer.RowGroups.Count;

    public long Rows => _parquet.Footer.Rows;

    /// <summary>Rows of one batch.</summary>
    public int RowsOf(int batch) => _parquet.Footer.RowGroups[batch].Rows;

    /// <summary>Least and greatest wall-clock time of a batch, µs since 1970-01-01 UTC; everything where the file does not say.</summary>
    public (long Least, long Greatest) TimesOf(int batch) =>
        _parquet.Footer.RowGroups[batch].Chunks[_time].Range ?? (long.MinValue, long.MaxValue);

    /// <summary>The same of ticks.</summary>
    public (long Least, long Greatest) TicksOf(int batch) =>
        _parquet.Footer.RowGroups[batch].Chunks[_ticks].Range ?? (long.MinValue, long.MaxValue);

    /// <exception cref="IOException">The batch is damaged.</exception>
    public void Read(int batch, ReadingBatch into)
    {
        int rows = RowsOf(batch);
        _parquet.Read(batch, _run, _runs.AsSpan(0, rows));
        into.Begin(rows > 0 ? _runs[0] : 0, _signals);
        _parquet.Read(batch, _ticks, into.TickColumn.AsSpan(0, rows));
        _parquet.Read(batch, _time, into.TimeColumn.AsSpan(0, rows));
        IReadOnlyList<string> words = _parquet.Read(batch, _quality, _qualities.AsSpan(0, rows));
        Quality[] qualities = [.. words.Select(QualityOf)];
        for (int i = 0; i < rows; i++)
            into.QualityColumn[i] = qualities[_qualities[i]];
        for (int i = 0; i < _signals.Count; i++)
            _parquet.Read(batch, _places[i], into.Column(_signals[i]).AsSpan(0, rows));
        into.Count = rows;
    }

    public void Dispose() => _parquet.Dispose();

    private static int Required(Footer footer, string column) =>
        footer.PlaceOf(column) is >= 0 and int place
            ? place
            : throw new ParquetException($"it has no column {column}, so it is no recording of readings");

    private static Quality QualityOf(string word) =>
        Array.IndexOf(ReadingFile.QualityWords, word) is >= 0 and int place
            ? (Quality)place
            : throw new ParquetException($"its quality is \"{word}\", which is none");
}
