using Dancerwatch.EdgeAgent.Recording.Journal;
using Dancerwatch.EdgeAgent.Recording.Parquet;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>
/// Makes closed journals into Parquet files, a row group at a time, so that the queues of the poll loops are looked after in
/// between. A journal is deleted once its file is whole and on disk. One thread.
/// </summary>
/// <param name="marksFound">Told the machine, run and marks of each journal that is done with.</param>
internal sealed class Converter(
    FileShelf ring,
    ReadingBatch batch,
    PageScratch scratch,
    Action<RecordedFile, IReadOnlyList<BlackBoxMark>> marksFound,
    ILogger logger
) : IDisposable
{
    private readonly Queue<RecordedFile> _journals = [];
    private JournalReader? _reader;
    private ReadingFileWriter? _writer;

    /// <summary>Journals that wait, the one under way included.</summary>
    public IReadOnlyCollection<RecordedFile> Waiting => _journals;

    public void Add(RecordedFile journal) => _journals.Enqueue(journal);

    /// <summary>Does one row group.</summary>
    /// <returns>False where there is nothing to do.</returns>
    /// <exception cref="IOException">The disk takes nothing; the journal is begun anew with the next step.</exception>
    public bool Step()
    {
        if (!_journals.TryPeek(out RecordedFile? journal))
            return false;
        if (_reader is null && !TryOpen(journal))
        {
            _journals.Dequeue();
            return true;
        }
        try
        {
            if (_reader!.TryRead(batch))
                (_writer ??= Begin(journal)).Write(batch);
            else
                Finish(journal);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            Dispose();
            throw;
        }
        return true;
    }

    /// <summary>Leaves the journal under way as it was.</summary>
    public void Dispose()
    {
        _reader?.Dispose();
        _writer?.Dispose();
        (_reader, _writer) = (null, null);
    }

    private bool TryOpen(RecordedFile journal)
    {
        try
        {
            _reader = new JournalReader(journal.Path);
            return true;
        }
        catch (IOException e)
        {
            SetAside(ring, journal, e.Message, logger);
            return false;
        }
    }

    private ReadingFileWriter Begin(RecordedFile journal)
    {
        // It takes less than its journal did.
        ring.MakeRoom(new FileInfo(journal.Path).Length);
        return new ReadingFileWriter(
            journal.As(RecordedFileKind.Finished).Path,
            _reader!.Signals,
            ReadingFile.Facts(journal.Machine, _reader.Signals),
            scratch
        );
    }

    private void Finish(RecordedFile journal)
    {
        RecordedFile finished = journal.As(RecordedFileKind.Finished);
        _writer?.Finish();
        IReadOnlyList<BlackBoxMark> marks = [.. _reader!.Marks];
        bool isThere = _writer is not null;
        Dispose();
        File.Delete(journal.Path);
        ring.Remove(journal);
        if (isThere)
            ring.Set(finished, new FileInfo(finished.Path).Length);
        ring.KeepDays();
        _journals.Dequeue();
        if (marks.Count > 0)
            marksFound(finished, marks);
    }

    /// <summary>Gives a file that is not whole a name under which nobody takes it for a recording, and says so.</summary>
    public static void SetAside(FileShelf shelf, RecordedFile file, string trouble, ILogger logger)
    {
        RecordedFile aside = file.As(RecordedFileKind.Damaged);
        File.Move(file.Path, aside.Path, overwrite: true);
        shelf.Remove(file);
        shelf.Set(aside, new FileInfo(aside.Path).Length);
        logger.RecordingSetAside(file.Path, trouble);
    }
}
