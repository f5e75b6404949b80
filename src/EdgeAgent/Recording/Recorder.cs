using System.Collections.Concurrent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Recording.Parquet;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>
/// Records every reading on disk, in a ring, and keeps what was read around warnings and trips in a black box. Readings pass
/// through bounded queues to a thread of its own, which writes them to journals once a second and makes those into Parquet
/// files. Whatever the disk does costs readings of the recording, counted, and nothing else.
/// </summary>
public sealed class Recorder : IAsyncDisposable
{
    /// <summary>Folder of the ring, and of the black box, in the recordings' directory.</summary>
    public const string RingFolder = "ring";

    /// <inheritdoc cref="RingFolder"/>
    public const string BlackBoxFolder = "black-box";

    private const int MostMarks = 1000;

    private static readonly TimeSpan s_pause = TimeSpan.FromSeconds(1);

    /// <summary>A mark's readings are taken as complete so long after their time, though the machine is read no more.</summary>
    private static readonly TimeSpan s_latest = TimeSpan.FromSeconds(5);

    /// <summary>At the end so much time is spent on making files of journals; the next start does the rest.</summary>
    private static readonly TimeSpan s_lastFiles = TimeSpan.FromSeconds(2);

    private readonly string _directory;
    private readonly MonotonicClock _clock;
    private readonly ILogger _logger;
    private readonly FileShelf _ring;
    private readonly FileShelf _box;
    private readonly Converter _converter;
    private readonly Journals _journals;
    private readonly BlackBox _blackBox;
    private readonly ReadingBatch _batch = new();
    private readonly PageScratch _scratch = new();
    private readonly ConcurrentQueue<(string Machine, BlackBoxMark Mark)> _marks = [];
    private readonly WakeUp _work = new();
    private long _run;
    private long _troubleSince;
    private bool _isInTrouble;
    private volatile bool _hasFailed;

    /// <summary>Touches no disk; that is the thread's.</summary>
    /// <param name="directory">Where recordings go; made where it is not there.</param>
    public Recorder(
        string directory,
        RecordingSettings settings,
        MonotonicClock clock,
        ILogger<Recorder> logger
    )
        : this(directory, settings, clock, logger, () => FreeSpace(directory)) { }

    internal Recorder(
        string directory,
        RecordingSettings settings,
        MonotonicClock clock,
        ILogger logger,
        Func<long> freeSpace
    )
    {
        ArgumentNullException.ThrowIfNull(settings);
        (_directory, _clock, _logger) = (directory, clock, logger);
        _ring = Shelf(RingFolder, settings.MaximumMegabytes, settings.MaximumDays);
        _box = Shelf(BlackBoxFolder, settings.BlackBoxMaximumMegabytes, settings.BlackBoxMaximumDays);
        _blackBox = new BlackBox(_box, _batch, _scratch, logger);
        _converter = new Converter(_ring, _batch, _scratch, AddMarks, logger);
        _journals = new Journals(_ring, _batch, clock, _converter.Add, logger);

        FileShelf Shelf(string folder, int megabytes, int days) =>
            new(
                Path.Combine(directory, folder),
                (long)megabytes << 20,
                days,
                (long)settings.LeaveFreeMegabytes << 20,
                freeSpace,
                logger
            );
    }

    /// <summary>Readings in the recording, of this run.</summary>
    public long Recorded => _journals.Recorded;

    /// <summary>Readings of this run that are not: the disk was too slow or took nothing.</summary>
    public long Dropped => _journals.Dropped;

    /// <summary>Space that the ring takes, bytes.</summary>
    public long RingBytes => _ring.Bytes;

    /// <summary>Space that the black box takes, bytes.</summary>
    public long BlackBoxBytes => _box.Bytes;

    /// <summary>Where readings of a machine go. The same for the same machine, unless its signals are others.</summary>
    /// <param name="period">Time between two of its readings.</param>
    public IReadingSink For(WatchedMachineSettings machine, TimeSpan period) =>
        _journals.For(machine, period);

    /// <summary>Has kept what was and will be read around this moment. Never waits; any thread.</summary>
    /// <param name="machine">A machine that is recorded.</param>
    /// <param name="ticks">Monotonic time of the reading.</param>
    /// <param name="what">In a few words.</param>
    public void Mark(string machine, long ticks, string what)
    {
        if (_marks.Count < MostMarks)
            _marks.Enqueue(
                (machine, new BlackBoxMark(ticks, UnixTime.Microseconds(_clock.ToWallClock(ticks)), what))
            );
    }

    /// <summary>Called when journals have been made into files and none waits any more, on the recorder's thread.</summary>
    public Action FilesMade { get; init; } = () => { };

    // A thread of its own: a disk may keep it waiting for seconds, and the pool has polls to serve.
    public Task RunAsync(CancellationToken cancellation) =>
        Task.Factory.StartNew(
            () => Work(cancellation),
            CancellationToken.None,
            TaskCreationOptions.LongRunning,
            TaskScheduler.Default
        );

    /// <summary>Writes what waits and makes files of the journals, as far as there is time.</summary>
    public async ValueTask DisposeAsync()
    {
        await Task.Run(() =>
        {
            Tend(isLast: true);
            long begun = _clock.Ticks;
            while (_clock.Ticks - begun < s_lastFiles.Ticks && Guarded(_converter.Step)) { }
        });
        _converter.Dispose();
        _work.Dispose();
    }

    private void Work(CancellationToken cancellation)
    {
        using ITimer timer = _clock.Time.CreateTimer(_ => _work.Set(), null, s_pause, s_pause);
        try
        {
            while (true)
            {
                bool hasMade = false;
                while (Tend())
                {
                    hasMade = true;
                    cancellation.ThrowIfCancellationRequested();
                }
                if (hasMade)
                    FilesMade();
                _work.Wait(cancellation);
            }
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested) { }
    }

    /// <summary>Does once what there is to do.</summary>
    /// <returns>Whether there is more at once.</returns>
    internal bool Tend(bool isLast = false)
    {
        if (_isInTrouble && !isLast && _clock.Ticks - _troubleSince < TimeSpan.TicksPerSecond)
            return false;
        return Guarded(() =>
        {
            if (_run == 0)
                Open();
            _journals.Write(_run, isLast);
            TakeMarks();
            _blackBox.KeepDue(IsOver, FilesOf);
            bool more = _converter.Step();
            if (_isInTrouble)
                _logger.RecordingTroubleOver();
            _isInTrouble = false;
            _journals.TellLosses();
            return more;
        });
    }

    /// <summary>Whatever happens here stays here.</summary>
    private bool Guarded(Func<bool> work)
    {
        if (_hasFailed)
            return false;
        try
        {
            return work();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            if (!_isInTrouble)
                _logger.RecordingTroubleBegun(e.Message.TrimEnd('.'), _directory);
            (_isInTrouble, _troubleSince) = (true, _clock.Ticks);
        }
#pragma warning disable CA1031 // A fault of the recording must not take the watch with it.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            _hasFailed = true;
            _logger.RecordingFailed(failure);
        }
        return false;
    }

    private void Open()
    {
        Directory.CreateDirectory(_ring.Folder);
        Directory.CreateDirectory(_box.Folder);
        Survey(_ring);
        Survey(_box);
        foreach (RecordedFile journal in _ring.Files.Where(IsJournal).ToArray())
            _converter.Add(journal);
        _run = _ring.Files.Concat(_box.Files).Select(file => file.Run).DefaultIfEmpty().Max() + 1;
        _logger.RecordingBegun(_directory, _run);
    }

    private void Survey(FileShelf shelf)
    {
        foreach (string path in Directory.EnumerateFiles(shelf.Folder, "*", SearchOption.AllDirectories))
        {
            if (RecordedFile.IsUnfinished(path))
                File.Delete(path);
        }
        foreach (RecordedFile file in RecordedFile.In(shelf.Folder))
        {
            // Killed after the file was whole, and before its journal was deleted.
            if (IsJournal(file) && File.Exists(file.As(RecordedFileKind.Finished).Path))
            {
                File.Delete(file.Path);
                continue;
            }
            shelf.Set(file, new FileInfo(file.Path).Length);
            if (
                file.Kind == RecordedFileKind.Finished
                && Parquet.ParquetReader.Trouble(file.Path) is { } trouble
            )
                Converter.SetAside(shelf, file, trouble, _logger);
        }
        shelf.KeepDays();
    }

    /// <summary>Marks stand in the journal too, so that a process that is killed finds them at its next start.</summary>
    private void TakeMarks()
    {
        while (_marks.TryDequeue(out (string Machine, BlackBoxMark Mark) marked))
        {
            _blackBox.Add(marked.Machine, _run, marked.Mark);
            _journals.Append(marked.Machine, marked.Mark);
        }
    }

    /// <summary>Marks of earlier runs, out of journals that a process left when it was killed.</summary>
    private void AddMarks(RecordedFile file, IReadOnlyList<BlackBoxMark> marks)
    {
        foreach (BlackBoxMark mark in marks)
        {
            if (file.Run != _run)
                _blackBox.Add(file.Machine, file.Run, mark);
        }
    }

    private bool IsOver(string machine, long run, long ticks) =>
        // Of an earlier run there is nothing to come but journals that wait.
        run != _run
            ? !_converter.Waiting.Any(journal => journal.Machine == machine && journal.Run == run)
            : _clock.Ticks >= ticks + s_latest.Ticks || _journals.LastTicks(machine) >= ticks;

    private IEnumerable<RecordedFile> FilesOf(string machine, long run) =>
        _ring.Files.Where(file =>
            file.Machine == machine && file.Run == run && file.Kind != RecordedFileKind.Damaged
        );

    private static bool IsJournal(RecordedFile file) => file.Kind == RecordedFileKind.Journal;

    private static long FreeSpace(string directory) => new DriveInfo(directory).AvailableFreeSpace;
}
