using Dancerwatch.EdgeAgent.Recording.Journal;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>
/// Reads one machine's readings out of a recording, batch by batch. What cannot be read is left out and told in
/// <see cref="Findings"/>, a sentence for each; the rest is read. One thread.
/// </summary>
public sealed class RecordingReader : IDisposable
{
    private readonly Queue<(RecordedFile File, long Bytes)> _left;
    private readonly List<string> _findings = [];
    private readonly long _from;
    private readonly long _to;
    private readonly long _bytes;
    private double _bytesDone;
    private long _fileBytes;
    private RecordedFile? _file;
    private ReadingFileReader? _finished;
    private JournalReader? _journal;
    private int _nextBatch;

    internal RecordingReader(IReadOnlyList<RecordedFile> files, Period period)
    {
        _from = UnixTime.Microseconds(period.From);
        _to = UnixTime.Microseconds(period.To);
        foreach (RecordedFile file in files.Where(file => file.Kind == RecordedFileKind.Damaged))
            _findings.Add($"{file.Path} was set aside, for it is not whole; it is left out");
        HashSet<string> finished =
        [
            .. files.Where(file => file.Kind == RecordedFileKind.Finished).Select(file => file.Path),
        ];
        _left = new(
            files
                .Where(file =>
                    file.Kind == RecordedFileKind.Finished
                    // It becomes a file, and is not deleted yet.
                    || (
                        file.Kind == RecordedFileKind.Journal
                        && !finished.Contains(file.As(RecordedFileKind.Finished).Path)
                    )
                )
                .Select(file => (file, LengthOf(file)))
        );
        _bytes = _left.Sum(file => file.Bytes);
    }

    /// <summary>What was left out up to here, and why.</summary>
    public IReadOnlyList<string> Findings => _findings;

    /// <summary>How much has been read, 0 to 1.</summary>
    public double Progress => _bytes == 0 ? 1 : (_bytesDone + BytesOfFile()) / _bytes;

    /// <summary>Reads the next batch.</summary>
    /// <returns>False at the end.</returns>
    public bool TryRead(ReadingBatch into)
    {
        ArgumentNullException.ThrowIfNull(into);
        while (TryReadAny(into))
        {
            if (into.Count > 0 && !IsWithin(into))
                into.Keep((_, time) => time >= _from && time < _to);
            if (into.Count > 0)
                return true;
        }
        return false;
    }

    public void Dispose() => Close();

    private bool TryReadAny(ReadingBatch into)
    {
        while (true)
        {
            try
            {
                if (_file is null && !OpenNext())
                    return false;
                if (_journal is not null)
                {
                    if (_journal.TryRead(into))
                        return true;
                    Close();
                }
                else if (_nextBatch < _finished!.Batches)
                {
                    (long least, long greatest) = _finished.TimesOf(_nextBatch);
                    if (greatest >= _from && least < _to)
                    {
                        _finished.Read(_nextBatch++, into);
                        return true;
                    }
                    _nextBatch++;
                }
                else
                    Close();
            }
            catch (IOException e) when (_finished is not null)
            {
                _findings.Add($"A part of {_file!.Path} is left out: {e.Message}");
                _nextBatch++;
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                _findings.Add($"{_file!.Path} is left out: {e.Message}");
                Close();
            }
        }
    }

    private bool OpenNext()
    {
        if (!_left.TryDequeue(out (RecordedFile File, long Bytes) next))
            return false;
        (_file, _fileBytes) = (next.File, next.Bytes);
        if (_file.Kind == RecordedFileKind.Journal)
        {
            try
            {
                _journal = new JournalReader(_file.Path);
                return true;
            }
            catch (FileNotFoundException)
            {
                // A daemon has made a file of the journal since we looked.
                _file = _file.As(RecordedFileKind.Finished);
            }
        }
        _finished = new ReadingFileReader(_file.Path);
        return true;
    }

    private double BytesOfFile() =>
        _finished is { Batches: > 0 } file ? (double)_fileBytes * _nextBatch / file.Batches : 0;

    private bool IsWithin(ReadingBatch batch) =>
        batch.Microseconds.IndexOfAnyExceptInRange(_from, _to - 1) < 0;

    private void Close()
    {
        _finished?.Dispose();
        _journal?.Dispose();
        _bytesDone += _fileBytes;
        _fileBytes = 0;
        (_file, _finished, _journal, _nextBatch) = (null, null, null, 0);
    }

    private static long LengthOf(RecordedFile file)
    {
        FileInfo info = new(file.Path);
        return info.Exists ? info.Length : 0;
    }
}
