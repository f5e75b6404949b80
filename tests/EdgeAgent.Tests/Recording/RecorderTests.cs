using System.Runtime.CompilerServices;
using Dancerwatch.EdgeAgent.Commands.Replays;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Tests.Controllers.Recorded;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Recording;

public sealed class RecorderTests : IDisposable
{
    private static readonly DateTimeOffset s_start = new(2026, 11, 25, 6, 0, 0, TimeSpan.Zero);
    private static readonly TimeSpan s_period = TimeSpan.FromMilliseconds(20);

    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-recorder-");
    private readonly SetWallClock _time = new(s_start);
    private readonly RecordingLogger<Recorder> _log = new();
    private readonly WatchedMachineSettings _machine = Traces.Machine("tea-1", Batches.Signals[2..]);
    private readonly List<Reading> _taken = [];
    private MonotonicClock _clock;
    private long _free = long.MaxValue;
    private int _number;

    public RecorderTests() => _clock = new MonotonicClock(_time);

    public void Dispose() => _directory.Delete(recursive: true);

    [Fact]
    public async Task What_was_taken_is_read_bit_for_bit_over_files_and_runs()
    {
        for (int run = 0; run < 3; run++)
        {
            await using Recorder recorder = Begin();
            IReadingSink sink = recorder.For(_machine, s_period);
            // Longer than a journal is: it becomes files.
            Live(recorder, sink, TimeSpan.FromMinutes(20));
        }

        Batches.Same(_taken, Read());
        Assert.Equal(
            ["000001", "000001", "000002", "000002", "000003", "000003"],
            Files().Select(file => file[..6])
        );
    }

    [Fact]
    public async Task To_a_replay_a_restart_is_a_hole_as_long_as_by_the_wall_clock_and_a_second_where_that_was_set_back()
    {
        double[] holes = [30, -7_200];
        for (int run = 0; run < 3; run++)
        {
            await using (Recorder recorder = Begin())
                Live(recorder, recorder.For(_machine, s_period), TimeSpan.FromSeconds(10));
            if (run < holes.Length)
                _time.Set += TimeSpan.FromSeconds(holes[run]);
        }

        using RecordedHistory history = new(
            RecordingFolder.Open(_directory.FullName).Read("tea-1", Period.Ever),
            machine: 0
        );
        List<long> ticks = [];
        List<DateTimeOffset> times = [];
        while (await history.NextBatchAsync(TestContext.Current.CancellationToken))
        {
            while (history.TryRead(out Reading reading))
            {
                ticks.Add(reading.Ticks);
                times.Add(history.ToWallClock(reading.Ticks));
            }
        }

        Assert.Equal(1_500, ticks.Count);
        Assert.Equal(_taken.Take(500).Select(reading => reading.Ticks), ticks.Take(500));
        // Readings come every 20 ms or so, and the last of a run 20 ms before its end.
        Assert.InRange(ticks[500] - ticks[499], 300_100_000, 300_300_000);
        Assert.InRange(ticks[1_000] - ticks[999], TimeSpan.TicksPerSecond, TimeSpan.TicksPerSecond);
        Assert.InRange((times[500] - s_start).TotalSeconds, 40, 40.1);
        Assert.InRange((times[1_000] - s_start).TotalSeconds, -7_150, -7_149.9);
    }

    [Fact]
    public void A_process_that_is_killed_leaves_all_but_the_last_moment_and_the_next_makes_a_file_of_it()
    {
        Recorder killed = Begin();
        Live(killed, killed.For(_machine, s_period), TimeSpan.FromMinutes(1));
        // Half a block, as a kill in the middle of a write leaves it.
        string journal = Assert.Single(Directory.GetFiles(Ring, "*.journal", SearchOption.AllDirectories));
        using (FileStream file = new(journal, FileMode.Append, FileAccess.Write, FileShare.ReadWrite))
            file.Write("DWRJ123456"u8);

        Batches.Same(_taken, Read());
        Recorder next = Begin();
        while (next.Tend()) { }

        Batches.Same(_taken, Read());
        Assert.Equal("000001-0000000000000", Assert.Single(Files())[..20]);
    }

    [Fact]
    public async Task A_day_has_a_folder_and_a_clock_that_is_set_spoils_neither_order_nor_folders()
    {
        await using (Recorder recorder = Begin())
        {
            IReadingSink sink = recorder.For(_machine, s_period);
            foreach (double hours in (double[])[0, 18.5, -48, 0, 0.0001])
            {
                _time.Set = TimeSpan.FromHours(hours);
                Live(recorder, sink, TimeSpan.FromSeconds(30));
            }
        }

        Batches.Same(_taken, Read());
        Assert.Equal(
            ["day=2026-11-23", "day=2026-11-25", "day=2026-11-26"],
            Directory.GetDirectories(Path.Combine(Ring, "machine=tea-1")).Select(Path.GetFileName).Order()
        );
        ReadingBatch batch = new();
        foreach (string path in Directory.GetFiles(Ring, "*.parquet", SearchOption.AllDirectories))
        {
            using ReadingFileReader file = new(path);
            file.Read(0, batch);
            Assert.Equal(
                Path.GetFileName(Path.GetDirectoryName(path)),
                $"day={UnixTime.Of(batch.Microseconds[0]):yyyy-MM-dd}"
            );
        }
    }

    [Fact]
    public async Task The_ring_never_takes_more_than_it_may_and_the_oldest_goes_first()
    {
        RecordingSettings settings = new() { MaximumMegabytes = 1, LeaveFreeMegabytes = 0 };
        long most = 0;
        await using (Recorder recorder = Begin(settings))
        {
            IReadingSink sink = recorder.For(_machine, s_period);
            for (int i = 0; i < 90; i++)
            {
                Live(recorder, sink, TimeSpan.FromMinutes(1));
                most = Math.Max(most, Taken(Ring));
            }
        }

        Assert.InRange(most, 900_000, 1 << 20);
        List<Reading> kept = Read();
        Assert.InRange(kept.Count, 10_000, _taken.Count - 10_000);
        Batches.Same(_taken.TakeLast(kept.Count), kept);
    }

    [Fact]
    public async Task Where_the_disk_has_little_left_the_ring_turns_over_and_grows_no_further()
    {
        await using Recorder recorder = Begin(new RecordingSettings { LeaveFreeMegabytes = 100 });
        IReadingSink sink = recorder.For(_machine, s_period);
        Live(recorder, sink, TimeSpan.FromMinutes(40));
        long before = recorder.RingBytes;
        _free = 50 << 20;
        Live(recorder, sink, TimeSpan.FromMinutes(40));

        // It goes by whole files, of which there are three.
        Assert.InRange(recorder.RingBytes, before / 3, before);
        Assert.Equal(0, recorder.Dropped);
        Assert.Equal(Read()[^1].Ticks, _taken[^1].Ticks);
    }

    [Fact]
    public async Task Older_days_go_though_there_is_space()
    {
        await using (Recorder recorder = Begin(new RecordingSettings { MaximumDays = 2 }))
        {
            IReadingSink sink = recorder.For(_machine, s_period);
            for (int day = 0; day < 4; day++)
            {
                _time.Set = TimeSpan.FromDays(day);
                Live(recorder, sink, TimeSpan.FromSeconds(30));
            }
        }

        Assert.Equal(
            ["day=2026-11-27", "day=2026-11-28"],
            Directory.GetDirectories(Path.Combine(Ring, "machine=tea-1")).Select(Path.GetFileName).Order()
        );
    }

    [Fact]
    public async Task The_black_box_keeps_two_minutes_before_a_mark_and_one_after_it()
    {
        long marked;
        await using (Recorder recorder = Begin())
        {
            IReadingSink sink = recorder.For(_machine, s_period);
            Live(recorder, sink, TimeSpan.FromMinutes(20));
            marked = _taken[^1].Ticks;
            recorder.Mark("tea-1", marked, "limit-approach raised");
            Live(recorder, sink, TimeSpan.FromSeconds(30));
            recorder.Mark("tea-1", _taken[^1].Ticks, "full-side trip");
            Live(recorder, sink, TimeSpan.FromMinutes(5));
        }

        long end = marked + (TimeSpan.TicksPerSecond * 90);
        List<Reading> kept = Read(Recorder.BlackBoxFolder);
        Assert.InRange(kept[0].Ticks, marked - (120 * TimeSpan.TicksPerSecond), marked - 1_199_000_000);
        Assert.InRange(kept[^1].Ticks, end - 1_000_000, end + 1_000_000);
        Batches.Same(_taken.Where(r => r.Ticks >= kept[0].Ticks && r.Ticks <= kept[^1].Ticks), kept);
        string path = Assert.Single(
            Directory.GetFiles(
                Path.Combine(_directory.FullName, Recorder.BlackBoxFolder),
                "*.parquet",
                SearchOption.AllDirectories
            )
        );
        using ReadingFileReader file = new(path);
        Assert.Equal(
            "2026-11-25T06:19:59.980Z limit-approach raised\n2026-11-25T06:20:29.980Z full-side trip",
            file.Facts["dancerwatch.kept_for"]
        );
    }

    [Fact]
    public void What_the_black_box_was_to_keep_when_the_process_was_killed_is_kept_at_the_next_start_once()
    {
        Recorder killed = Begin();
        IReadingSink sink = killed.For(_machine, s_period);
        Live(killed, sink, TimeSpan.FromMinutes(3));
        killed.Mark("tea-1", _taken[^1].Ticks, "empty-side trip");
        Live(killed, sink, TimeSpan.FromSeconds(20));

        for (int start = 0; start < 2; start++)
        {
            Recorder next = Begin();
            while (next.Tend()) { }
            next.Tend();
        }

        List<Reading> kept = Read(Recorder.BlackBoxFolder);
        Assert.InRange(kept.Count, 6_990, 7_010); // 140 s at 50 Hz
        Batches.Same(_taken.TakeLast(kept.Count), kept);
    }

    [Fact]
    public async Task A_file_cut_in_half_is_set_aside_with_one_sentence_and_the_rest_is_read()
    {
        await using (Recorder recorder = Begin())
            Live(recorder, recorder.For(_machine, s_period), TimeSpan.FromMinutes(40));
        string[] files = Directory.GetFiles(Ring, "*.parquet", SearchOption.AllDirectories);
        Array.Sort(files, StringComparer.Ordinal);
        Assert.Equal(3, files.Length);
        using (FileStream file = new(files[1], FileMode.Open))
            file.SetLength(file.Length / 2);

        using (RecordingReader reader = RecordingFolder.Open(_directory.FullName).Read("tea-1", Period.Ever))
        {
            Assert.InRange(ReadAll(reader).Count, _taken.Count / 2, _taken.Count - 40_000);
            Assert.Equal([$"{files[1]} is left out: its end is missing"], reader.Findings);
        }
        await using (Recorder next = Begin())
            next.Tend();

        Assert.Contains(
            _log.Entries.Select(entry => entry.Text),
            message =>
                message.Contains(
                    $"{files[1]} is set aside, for it is not whole: its end is missing. The rest of the recording can be read",
                    StringComparison.Ordinal
                )
        );
        Assert.False(File.Exists(files[1]));
        Assert.InRange(Read().Count, _taken.Count / 2, _taken.Count - 40_000);
    }

    [Fact]
    public async Task What_a_machine_was_read_for_before_its_signals_changed_is_forgotten_once_it_is_written()
    {
        await using Recorder recorder = Begin();
        WeakReference before = LiveAWhile();
        IReadingSink now = recorder.For(Traces.Machine("tea-1"), s_period);

        Live(recorder, now, TimeSpan.FromSeconds(50));
        GC.Collect();
        Assert.True(before.IsAlive);
        Live(recorder, now, TimeSpan.FromSeconds(20));
        GC.Collect();
        Assert.False(before.IsAlive);
        Assert.Equal(_taken.Count, recorder.Recorded);
        Assert.Equal(0, recorder.Dropped);

        // Of its own, so that nothing here holds the sink.
        [MethodImpl(MethodImplOptions.NoInlining)]
        WeakReference LiveAWhile()
        {
            IReadingSink sink = recorder.For(_machine, s_period);
            Live(recorder, sink, TimeSpan.FromSeconds(10));
            return new WeakReference(sink);
        }
    }

    [Fact]
    public async Task A_directory_that_cannot_be_had_costs_readings_that_are_counted_and_told_once()
    {
        string place = Path.Combine(_directory.FullName, "a-file");
        await File.WriteAllTextAsync(place, "", TestContext.Current.CancellationToken);
        await using Recorder recorder = new(place, new RecordingSettings(), _clock, _log, () => _free);
        Live(recorder, recorder.For(_machine, s_period), TimeSpan.FromSeconds(60));

        Assert.InRange(recorder.Dropped, 2_400, 2_999);
        Assert.Single(
            _log.Entries.Select(entry => entry.Text),
            message => message.Contains("Readings cannot be recorded", StringComparison.Ordinal)
        );
        // Another configuration of the machine makes none of them good.
        long dropped = recorder.Dropped;
        IReadingSink other = recorder.For(Traces.Machine("tea-1"), s_period);
        Assert.Equal(dropped, recorder.Dropped);

        File.Delete(place);
        Live(recorder, other, TimeSpan.FromSeconds(10));
        Assert.Contains(
            _log.Entries.Select(entry => entry.Text),
            message => message.Contains("Readings are recorded again", StringComparison.Ordinal)
        );
        Assert.Contains(
            _log.Entries.Select(entry => entry.Text),
            message =>
                message.Contains("readings of tea-1 are not in the recording", StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Taking_a_reading_allocates_nothing()
    {
        Recorder recorder = Begin();
        IReadingSink sink = recorder.For(_machine, s_period);
        Reading[] readings = [.. Batches.Readings(10_000)];
        sink.Take(readings[0]);

        long bytes = Allocated.Bytes(round =>
        {
            for (int i = 0; i < 2_000; i++)
                sink.Take(readings[(round * 2_000) + i]);
        });

        Assert.Equal(0, bytes);
    }

    [Fact]
    public async Task A_period_is_read_to_the_reading()
    {
        await using (Recorder recorder = Begin())
            Live(recorder, recorder.For(_machine, s_period), TimeSpan.FromMinutes(40));
        Period period = new(s_start.AddMinutes(10), s_start.AddMinutes(25));

        using RecordingReader reader = RecordingFolder.Open(_directory.FullName).Read("tea-1", period);
        List<Reading> read = ReadAll(reader);

        Assert.Equal(1, reader.Progress);
        Batches.Same(
            _taken.Where(r =>
                r.Ticks >= 10 * TimeSpan.TicksPerMinute && r.Ticks < 25 * TimeSpan.TicksPerMinute
            ),
            read
        );
    }

    private string Ring => Path.Combine(_directory.FullName, Recorder.RingFolder);

    /// <summary>A run of the daemon begins.</summary>
    private Recorder Begin(RecordingSettings? settings = null)
    {
        _clock = new MonotonicClock(_time);
        _number = 0;
        return new Recorder(
            _directory.FullName,
            settings ?? new RecordingSettings(),
            _clock,
            _log,
            () => _free
        );
    }

    /// <summary>Readings come for a while, and the recorder's thread does its work each second.</summary>
    private void Live(Recorder recorder, IReadingSink sink, TimeSpan length)
    {
        for (int second = 0; second < length.TotalSeconds; second++)
        {
            foreach (Reading reading in Batches.Readings(50, _number))
            {
                _taken.Add(reading);
                sink.Take(reading);
            }
            _number += 50;
            _time.Advance(TimeSpan.FromSeconds(1));
            while (recorder.Tend()) { }
        }
    }

    private IEnumerable<string> Files() =>
        Directory
            .GetFiles(Ring, "*.parquet", SearchOption.AllDirectories)
            .Select(path => Path.GetFileName(path)!)
            .Order();

    private List<Reading> Read(string folder = Recorder.RingFolder)
    {
        using RecordingReader reader = RecordingFolder
            .Open(Path.Combine(_directory.FullName, folder))
            .Read("tea-1", Period.Ever);
        return ReadAll(reader);
    }

    private static List<Reading> ReadAll(RecordingReader reader)
    {
        List<Reading> read = [];
        ReadingBatch batch = new();
        while (reader.TryRead(batch))
            read.AddRange(Batches.In(batch));
        return read;
    }

    private static long Taken(string folder) =>
        Directory
            .GetFiles(folder, "*", SearchOption.AllDirectories)
            .Sum(path => (new FileInfo(path).Length + 4095) / 4096 * 4096);
}
