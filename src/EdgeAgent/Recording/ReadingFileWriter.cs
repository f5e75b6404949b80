using Dancerwatch.EdgeAgent.Recording.Parquet;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>
/// Writes readings of one machine into a Parquet file that nobody sees before it is whole: under another name, flushed to
/// disk, then renamed.
/// </summary>
internal sealed class ReadingFileWriter : IDisposable
{
    private readonly string _path;
    private readonly string _unfinished;
    private readonly FileStream _file;
    private readonly ParquetWriter _parquet;
    private readonly IReadOnlyList<Signal> _signals;
    private readonly PageScratch _scratch;
    private readonly int[] _qualities = new int[ReadingBatch.Capacity];

    /// <param name="facts">For the footer; see <see cref="ReadingFile.Facts"/>.</param>
    /// <param name="scratch">That of the thread; null for one of its own.</param>
    /// <exception cref="IOException">It cannot be made.</exception>
    public ReadingFileWriter(
        string path,
        IReadOnlyList<Signal> signals,
        IReadOnlyDictionary<string, string> facts,
        PageScratch? scratch = null
    )
    {
        (_path, _signals) = (path, signals);
        _scratch = scratch ?? new PageScratch();
        _unfinished = RecordedFile.UnfinishedNameOf(path);
        _file = new FileStream(_unfinished, FileMode.Create, FileAccess.Write, FileShare.Read);
        _parquet = new ParquetWriter(_file, ReadingFile.Columns(signals), facts, _scratch);
    }

    /// <summary>Rows written.</summary>
    public long Rows { get; private set; }

    /// <summary>Writes a batch as one row group. Signals it has no column of are missing values.</summary>
    public void Write(ReadingBatch batch)
    {
        int rows = batch.Count;
        if (rows == 0)
            return;
        for (int i = 0; i < rows; i++)
            _qualities[i] = (int)batch.QualityColumn[i];
        _parquet.BeginRowGroup(rows);
        Span<long> runs = _scratch.Whole.AsSpan(0, rows);
        runs.Fill(batch.Run);
        _parquet.Add(runs);
        _parquet.Add(batch.Ticks);
        _parquet.Add(batch.Microseconds);
        _parquet.Add(ReadingFile.QualityWords, _qualities.AsSpan(0, rows));
        foreach (Signal signal in _signals)
            _parquet.Add(batch.Signals.Contains(signal) ? batch.Values(signal) : Missing(rows));
        _parquet.EndRowGroup();
        Rows += rows;
    }

    /// <summary>Ends the file and gives it its name. Without this it leaves nothing behind.</summary>
    public void Finish()
    {
        _parquet.Finish();
        _file.Flush(flushToDisk: true);
        _file.Dispose();
        File.Move(_unfinished, _path, overwrite: true);
    }

    public void Dispose()
    {
        _file.Dispose();
        File.Delete(_unfinished);
    }

    private static double[] Missing(int rows)
    {
        double[] missing = new double[rows];
        Array.Fill(missing, double.NaN);
        return missing;
    }
}
