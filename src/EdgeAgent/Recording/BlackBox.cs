using System.Globalization;
using Dancerwatch.EdgeAgent.Recording.Journal;
using Dancerwatch.EdgeAgent.Recording.Parquet;
using Dancerwatch.Signals.Readings;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>
/// Keeps what was read around each warning and each trip, in a ring of its own: from <see cref="Before"/> to
/// <see cref="After"/>. Marks whose times touch share a file. One thread.
/// </summary>
internal sealed class BlackBox(FileShelf box, ReadingBatch batch, PageScratch scratch, ILogger logger)
{
    /// <summary>What is kept of the time before a mark.</summary>
    public static readonly TimeSpan Before = TimeSpan.FromMinutes(2);

    /// <summary>What is kept of the time after it.</summary>
    public static readonly TimeSpan After = TimeSpan.FromMinutes(1);

    /// <summary>After so long a new file is begun, though marks go on.</summary>
    private static readonly TimeSpan s_longest = TimeSpan.FromMinutes(30);

    /// <summary>More than a reading takes in a file, besides its signals, and for each of them, bytes.</summary>
    private const int MostBytesPerReading = 24;
    private const int MostBytesPerValue = 10;

    private readonly List<Clip> _open = [];

    /// <summary>Takes a mark; its readings are kept once they are there.</summary>
    public void Add(string machine, long run, BlackBoxMark mark)
    {
        Clip? last = _open.FindLast(clip => clip.Machine == machine && clip.Run == run);
        if (
            last is not null
            && mark.Ticks - Before.Ticks <= last.To
            && mark.Ticks - last.Marks[0].Ticks <= s_longest.Ticks
        )
            last.Marks.Add(mark);
        else
            _open.Add(new Clip(machine, run, [mark]));
    }

    /// <summary>Keeps the readings of marks whose time is over.</summary>
    /// <param name="isOver">Whether the readings of a machine's run are there up to these ticks.</param>
    /// <param name="files">Where readings of a machine's run are, in order.</param>
    public void KeepDue(
        Func<string, long, long, bool> isOver,
        Func<string, long, IEnumerable<RecordedFile>> files
    )
    {
        for (int i = 0; i < _open.Count; i++)
        {
            Clip clip = _open[i];
            if (!isOver(clip.Machine, clip.Run, clip.To))
                continue;
            Keep(clip, [.. files(clip.Machine, clip.Run)]);
            _open.RemoveAt(i--);
        }
    }

    private void Keep(Clip clip, List<RecordedFile> files)
    {
        DateOnly day = UnixTime.DayOf(clip.Marks[0].Microseconds).Day;
        RecordedFile file = new(
            box.Folder,
            clip.Machine,
            day,
            clip.Run,
            clip.Marks[0].Ticks,
            RecordedFileKind.Finished
        );
        // Kept before the process was killed.
        if (File.Exists(file.Path))
            return;
        ReadingFileWriter? writer = null;
        try
        {
            for (int i = 0; i < files.Count; i++)
            {
                bool isEarlier = i + 1 < files.Count && files[i + 1].Ticks <= clip.From;
                if (!isEarlier && files[i].Ticks <= clip.To)
                    Copy(clip, files[i], file, ref writer);
            }
            if (writer is null)
                return;
            writer.Finish();
        }
        finally
        {
            writer?.Dispose();
        }
        box.Set(file, new FileInfo(file.Path).Length);
        box.KeepDays();
        string what = clip.What;
        logger.KeptInBlackBox(clip.Machine, writer.Rows, what);
    }

    private void Copy(Clip clip, RecordedFile from, RecordedFile into, ref ReadingFileWriter? writer)
    {
        if (from.Kind == RecordedFileKind.Journal)
        {
            using JournalReader journal = new(from.Path);
            while (journal.TryRead(batch))
                Write(clip, into, ref writer);
            return;
        }
        try
        {
            using ReadingFileReader file = new(from.Path);
            for (int i = 0; i < file.Batches; i++)
            {
                (long least, long greatest) = file.TicksOf(i);
                if (least > clip.To || greatest < clip.From)
                    continue;
                file.Read(i, batch);
                Write(clip, into, ref writer);
            }
        }
        catch (Parquet.ParquetException)
        {
            // Damaged since it was written: what there is of the others is kept.
        }
    }

    private void Write(Clip clip, RecordedFile into, ref ReadingFileWriter? writer)
    {
        batch.Keep((ticks, _) => ticks >= clip.From && ticks <= clip.To);
        if (batch.Count == 0)
            return;
        writer ??= Begin(clip, into);
        writer.Write(batch);
    }

    private ReadingFileWriter Begin(Clip clip, RecordedFile file)
    {
        IReadOnlyList<Signal> signals = [.. batch.Signals];
        long seconds = (clip.To - clip.From) / TimeSpan.TicksPerSecond;
        long perSecond = Math.Max(1, batch.Count / Math.Max(1, SecondsIn(batch)));
        box.MakeRoom(seconds * perSecond * (MostBytesPerReading + (MostBytesPerValue * signals.Count)));
        Dictionary<string, string> facts = ReadingFile.Facts(clip.Machine, signals);
        facts["dancerwatch.kept_for"] = string.Join(
            '\n',
            clip.Marks.Select(mark =>
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{UnixTime.Of(mark.Microseconds).UtcDateTime:yyyy-MM-ddTHH:mm:ss.fffZ} {mark.What}"
                )
            )
        );
        Directory.CreateDirectory(Path.GetDirectoryName(file.Path)!);
        return new ReadingFileWriter(file.Path, signals, facts, scratch);
    }

    private static long SecondsIn(ReadingBatch batch) =>
        (batch.Ticks[^1] - batch.Ticks[0]) / TimeSpan.TicksPerSecond;

    private sealed record Clip(string Machine, long Run, List<BlackBoxMark> Marks)
    {
        public long From => Marks[0].Ticks - Before.Ticks;

        public long To => Marks[^1].Ticks + After.Ticks;

        public string What => string.Join(", ", Marks.Select(mark => mark.What).Distinct());
    }
}
