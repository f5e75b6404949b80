using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Recording.Journal;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Recording.Journal;

public sealed class JournalTests : IDisposable
{
    private const int Blocks = 40;
    private const int RowsInBlock = 50;

    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-journal-");
    private readonly string _path;
    private readonly List<Reading> _readings = [.. Batches.Readings(Blocks * RowsInBlock)];

    public JournalTests()
    {
        _path = Path.Combine(_directory.FullName, "_000003-0000000000000000.journal");
        using JournalWriter journal = new(_path, run: 3, Batches.Signals);
        foreach (Reading[] block in _readings.Chunk(RowsInBlock))
            journal.Append(Batches.Of(block));
        journal.Append(new BlackBoxMark(5, -6, "limit-approach raised"));
    }

    public void Dispose() => _directory.Delete(recursive: true);

    [Fact]
    public void What_was_appended_is_read_bit_for_bit_with_its_marks()
    {
        using JournalReader journal = new(_path);
        List<Reading> read = ReadAll(journal);

        Batches.Same(_readings, read);
        Assert.Equal([new BlackBoxMark(5, -6, "limit-approach raised")], journal.Marks);
        Assert.Equal(3, journal.Run);
    }

    [Fact]
    public void A_journal_cut_anywhere_gives_all_whole_blocks()
    {
        byte[] whole = File.ReadAllBytes(_path);
        string cut = Path.Combine(_directory.FullName, "cut");
        int last = 0;
        for (int length = 100; length < whole.Length; length += 101)
        {
            File.WriteAllBytes(cut, whole.AsSpan(0, length));
            using JournalReader journal = new(cut);
            List<Reading> read = ReadAll(journal);

            Assert.Equal(0, read.Count % RowsInBlock);
            Assert.InRange(read.Count, last, _readings.Count);
            Batches.Same(_readings.Take(read.Count), read);
            last = read.Count;
        }
        Assert.InRange(last, _readings.Count - RowsInBlock, _readings.Count);
    }

    [Fact]
    public void A_changed_byte_ends_what_is_read_before_it()
    {
        byte[] bytes = File.ReadAllBytes(_path);
        bytes[bytes.Length / 2] ^= 4;
        File.WriteAllBytes(_path, bytes);

        using JournalReader journal = new(_path);
        List<Reading> read = ReadAll(journal);

        Assert.InRange(read.Count, _readings.Count * 4 / 10, _readings.Count * 6 / 10);
        Batches.Same(_readings.Take(read.Count), read);
    }

    [Fact]
    public void Blocks_that_do_not_hold_what_they_say_end_what_is_read_whatever_their_checksum()
    {
        byte[] whole = File.ReadAllBytes(_path);
        Random random = new(1);
        int cut = 0;
        for (int round = 0; round < 500; round++)
        {
            byte[] bytes = [.. whole];
            int start = BlockStarts(whole)[random.Next(Blocks + 2)];
            int length = JournalBlocks.LengthOf(bytes.AsSpan(start));
            Span<byte> block = bytes.AsSpan(start, JournalBlocks.HeaderLength + length);
            for (int i = 0; i < 3; i++)
                block[random.Next(JournalBlocks.HeaderLength, block.Length)] = (byte)random.Next(256);
            JournalBlocks.WriteHeader(block);
            File.WriteAllBytes(_path, bytes);

            try
            {
                using JournalReader journal = new(_path);
                int read = ReadAll(journal).Count;
                Assert.InRange(read, 0, _readings.Count + ReadingBatch.Capacity);
                if (read < _readings.Count)
                    cut++;
            }
            catch (IOException)
            {
                // The beginning: there is no telling what it holds.
                Assert.Equal(0, start);
            }
        }
        Assert.InRange(cut, 50, 500);
    }

    private static List<int> BlockStarts(byte[] journal)
    {
        List<int> starts = [];
        for (int at = 0; at < journal.Length; )
        {
            starts.Add(at);
            at += JournalBlocks.HeaderLength + JournalBlocks.LengthOf(journal.AsSpan(at));
        }
        return starts;
    }

    private static List<Reading> ReadAll(JournalReader journal)
    {
        List<Reading> read = [];
        ReadingBatch batch = new();
        while (journal.TryRead(batch))
            read.AddRange(Batches.In(batch));
        return read;
    }
}
