using System.Text;
using System.Threading.Channels;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Controllers.Recorded;

/// <summary>
/// Records readings into a CSV trace while the polls go on. Recording never waits for the disk: readings pass through a
/// bounded queue, and what finds it full is dropped and counted. A file that can no longer be written ends the recording,
/// not the watch. Any thread may record.
/// </summary>
public sealed class TraceRecorder : IAsyncDisposable
{
    /// <summary>10 s of 8 machines at 50 Hz: longer than a disk is usually busy.</summary>
    private const int QueueLength = 4096;

    private readonly MonotonicClock _clock;
    private readonly List<string> _machines;
    private readonly StreamWriter _file;
    private readonly CsvTraceWriter _trace;
    private readonly Channel<TraceRow> _queue;
    private readonly Task _writing;
    private long _dropped;
    private long _recorded;

    /// <param name="path">A file that does not exist yet: a recording is never overwritten.</param>
    /// <param name="machines">The machines, in the order their places count.</param>
    /// <exception cref="IOException">The file is there already, or cannot be made.</exception>
    public TraceRecorder(string path, IReadOnlyList<WatchedMachineSettings> machines, MonotonicClock clock)
        : this(new FileStream(path, FileMode.CreateNew, FileAccess.Write, FileShare.Read), machines, clock)
    { }

    internal TraceRecorder(Stream into, IReadOnlyList<WatchedMachineSettings> machines, MonotonicClock clock)
    {
        _clock = clock;
        _machines = [.. machines.Select(machine => machine.Name)];
        _file = new StreamWriter(into, new UTF8Encoding(encoderShouldEmitUTF8Identifier: false));
        _trace = new CsvTraceWriter(_file, machines);
        _queue = Channel.CreateBounded<TraceRow>(
            new BoundedChannelOptions(QueueLength)
            {
                FullMode = BoundedChannelFullMode.Wait,
                SingleReader = true,
            }
        );
        _writing = Task.Run(WriteAsync);
    }

    /// <summary>Readings written.</summary>
    public long Recorded => Interlocked.Read(ref _recorded);

    /// <summary>Readings that are not in the file: the queue was full, or the file could no longer be written.</summary>
    public long Dropped => Interlocked.Read(ref _dropped);

    /// <summary>One sentence on why the recording ended early; null while all is well.</summary>
    public string? Trouble { get; private set; }

    /// <summary>Where readings of a machine go; null where the recording was begun without it.</summary>
    public IReadingSink? For(WatchedMachineSettings machine) =>
        _machines.IndexOf(machine.Name) is >= 0 and int place ? new MachineColumn(this, place) : null;

    /// <summary>Takes one reading; never waits, never throws.</summary>
    /// <param name="machine">Place of its machine in the list.</param>
    public void Record(int machine, in Reading reading)
    {
        if (!_queue.Writer.TryWrite(new TraceRow(machine, reading)))
            Interlocked.Increment(ref _dropped);
    }

    /// <summary>Writes what is queued and closes the file.</summary>
    public async ValueTask DisposeAsync()
    {
        _queue.Writer.TryComplete();
        await _writing;
    }

    private sealed class MachineColumn(TraceRecorder recorder, int place) : IReadingSink
    {
        public void Take(in Reading reading) => recorder.Record(place, reading);
    }

    private async Task WriteAsync()
    {
        try
        {
            await using (_file)
            {
                long flushed = _clock.Ticks;
                await foreach (TraceRow row in _queue.Reader.ReadAllAsync())
                {
                    _trace.Write(row.Machine, row.Reading, _clock.ToWallClock(row.Reading.Ticks));
                    Interlocked.Increment(ref _recorded);
                    // Once a second, so that a process that is killed leaves all but the last second.
                    if (_clock.Ticks - flushed < TimeSpan.TicksPerSecond)
                        continue;
                    await _file.FlushAsync();
                    flushed = _clock.Ticks;
                }
            }
        }
        catch (IOException e)
        {
            Trouble = $"The recording ended early: {e.Message}";
            _queue.Writer.TryComplete();
            while (_queue.Reader.TryRead(out _))
                Interlocked.Increment(ref _dropped);
        }
    }
}
