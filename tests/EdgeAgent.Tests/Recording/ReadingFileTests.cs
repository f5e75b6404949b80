using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Recording.Parquet;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;
using Parquet.Schema;

namespace Dancerwatch.EdgeAgent.Tests.Recording;

/// <summary>Files as we write them, read by us and by a library that is not ours (Parquet.Net 6.1.0).</summary>
public sealed class ReadingFileTests : IDisposable
{
    private const int Rows = 12_345;

    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-file-");
    private readonly string _path;
    private readonly List<Reading> _readings = [.. Batches.Readings(Rows)];

    public ReadingFileTests()
    {
        _path = Path.Combine(_directory.FullName, "000001-0000000000000000.parquet");
        using ReadingFileWriter writer = new(
            _path,
            Batches.Signals,
            ReadingFile.Facts("tea-1", Batches.Signals)
        );
        foreach (Reading[] part in _readings.Chunk(ReadingBatch.Capacity))
            writer.Write(Batches.Of(part, run: 7));
        writer.Finish();
    }

    public void Dispose() => _directory.Delete(recursive: true);

    [Fact]
    public void What_was_written_is_read_bit_for_bit()
    {
        List<Reading> read = [];
        ReadingBatch batch = new();
        using ReadingFileReader file = new(_path);
        for (int i = 0; i < file.Batches; i++)
        {
            file.Read(i, batch);
            Assert.Equal(7, batch.Run);
            read.AddRange(Batches.In(batch));
            Assert.Equal(read[^batch.Count..].Select(Batches.TimeOf), batch.Microseconds.ToArray());
        }

        Batches.Same(_readings, read);
        Assert.Equal("tea-1", file.Facts["dancerwatch.machine"]);
        Assert.Equal("m/min", file.Facts["unit.unwindSpeed"]);
    }

    [Fact]
    public async Task A_library_that_is_not_ours_reads_the_same_bits_and_the_same_meanings()
    {
        await using global::Parquet.ParquetReader file = await global::Parquet.ParquetReader.CreateAsync(
            _path,
            cancellationToken: TestContext.Current.CancellationToken
        );
        List<long> ticks = [];
        List<DateTime> times = [];
        List<string?> qualities = [];
        Dictionary<Signal, List<double?>> values = Batches.Signals.ToDictionary(
            s => s,
            _ => new List<double?>()
        );
        for (int i = 0; i < file.RowGroupCount; i++)
        {
            using global::Parquet.ParquetRowGroupReader group = file.OpenRowGroupReader(i);
            ticks.AddRange(await ReadAsync<long>(group, file.Schema, ReadingFile.Ticks));
            times.AddRange(await ReadAsync<DateTime>(group, file.Schema, ReadingFile.Time));
            qualities.AddRange(await TextsAsync(group, file.Schema, ReadingFile.QualityColumn));
            foreach (Signal signal in Batches.Signals)
                values[signal].AddRange(await OptionalAsync(group, file.Schema, signal.Code()));
        }

        Assert.Equal(_readings.Select(reading => reading.Ticks), ticks);
        Assert.Equal(_readings.Select(reading => UnixTime.Of(Batches.TimeOf(reading)).UtcDateTime), times);
        Assert.Equal(_readings.Select(reading => ReadingFile.QualityWords[(int)reading.Quality]), qualities);
        foreach (Signal signal in Batches.Signals)
            Assert.Equal(
                _readings.Select(reading => double.IsNaN(reading[signal]) ? (double?)null : reading[signal]),
                values[signal]
            );
    }

    [Fact]
    public void A_file_cut_anywhere_is_refused_with_a_sentence()
    {
        byte[] whole = File.ReadAllBytes(_path);
        string cut = Path.Combine(_directory.FullName, "cut.parquet");
        for (int length = 0; length < whole.Length; length += 997)
        {
            File.WriteAllBytes(cut, whole.AsSpan(0, length));
            ParquetException refusal = Assert.Throws<ParquetException>(() => new ReadingFileReader(cut));
            Assert.Contains(
                refusal.Message,
                new[]
                {
                    "its end is missing",
                    "it is too short to be a recording",
                    "its description is damaged",
                }
            );
        }
    }

    [Fact]
    public void A_byte_changed_anywhere_is_found_or_changes_nothing()
    {
        byte[] whole = File.ReadAllBytes(_path);
        string changed = Path.Combine(_directory.FullName, "changed.parquet");
        Random random = new(5);
        ReadingBatch batch = new();
        int found = 0;
        for (int i = 0; i < 300; i++)
        {
            byte[] bytes = [.. whole];
            bytes[random.Next(bytes.Length)] ^= (byte)(1 << random.Next(8));
            File.WriteAllBytes(changed, bytes);
            try
            {
                using ReadingFileReader file = new(changed);
                for (int b = 0; b < file.Batches; b++)
                    file.Read(b, batch);
            }
            catch (ParquetException)
            {
                found++;
            }
        }

        // Pages, which are most of the file, carry a checksum; a changed unit or statistic passes.
        Assert.InRange(found, 270, 300);
    }

    private static async Task<T[]> ReadAsync<T>(
        global::Parquet.ParquetRowGroupReader group,
        ParquetSchema schema,
        string column
    )
        where T : struct
    {
        T[] values = new T[group.RowCount];
        await group.ReadAsync<T>(
            schema.FindDataField(column),
            values,
            cancellationToken: TestContext.Current.CancellationToken
        );
        return values;
    }

    private static async Task<double?[]> OptionalAsync(
        global::Parquet.ParquetRowGroupReader group,
        ParquetSchema schema,
        string column
    )
    {
        double?[] values = new double?[group.RowCount];
        await group.ReadAsync<double>(
            schema.FindDataField(column),
            values,
            cancellationToken: TestContext.Current.CancellationToken
        );
        return values;
    }

    private static async Task<string?[]> TextsAsync(
        global::Parquet.ParquetRowGroupReader group,
        ParquetSchema schema,
        string column
    )
    {
        string?[] values = new string?[group.RowCount];
        await group.ReadAsync(
            schema.FindDataField(column),
            values,
            cancellationToken: TestContext.Current.CancellationToken
        );
        return values;
    }
}
