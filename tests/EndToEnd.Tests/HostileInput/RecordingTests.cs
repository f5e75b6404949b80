using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Tests.Recording;
using Dancerwatch.EndToEnd.Tests.Outbox;

namespace Dancerwatch.EndToEnd.Tests.HostileInput;

[Collection(nameof(Hostile))]
public sealed class RecordingTests : IDisposable
{
    private const int Rows = 300;
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-hostile-");

    public void Dispose() => _directory.Delete(recursive: true);

    [Fact]
    public void Every_bent_recording_is_read_or_refused_in_a_sentence()
    {
        byte[] whole = Recorded();
        int recordings = Torture.Rounds(2_000, 100_000);
        int seed = Torture.Chance().Next();
        Random random = new(seed);
        Tally tally = new("recordings");
        string path = Path.Combine(_directory.FullName, "bent.parquet");
        ReadingBatch batch = new();
        long rows = 0;
        while (tally.Count < recordings)
        {
            if (tally.Count > recordings / 5)
                tally.IsWarm();
            File.WriteAllBytes(path, Bent(whole, random));
            tally.Begin();
            try
            {
                using ReadingFileReader file = new(path);
                for (int i = 0; i < file.Batches; i++)
                {
                    file.Read(i, batch);
                    Assert.InRange(batch.Count, 0, ReadingBatch.Capacity);
                    rows += batch.Count;
                }
                tally.End("read");
            }
            catch (IOException refusal)
            {
                Assert.InRange(refusal.Message.Length, 10, 500);
                tally.End("refused");
            }
        }
        tally.Close($"a file of {whole.Length} bytes, {rows} rows read, seed {seed}");
        Assert.True(tally.Of("read") > 0 && tally.Of("refused") > recordings / 4);
    }

    private byte[] Recorded()
    {
        string path = Path.Combine(_directory.FullName, "whole.parquet");
        using (
            ReadingFileWriter writer = new(path, Batches.Signals, ReadingFile.Facts("tea-1", Batches.Signals))
        )
        {
            writer.Write(Batches.Of(Batches.Readings(Rows)));
            writer.Write(Batches.Of(Batches.Readings(Rows, from: Rows)));
            writer.Finish();
        }
        return File.ReadAllBytes(path);
    }

    /// <summary>Most of it near the end, where a Parquet file describes itself.</summary>
    private static byte[] Bent(byte[] whole, Random random)
    {
        byte[] bytes = [.. whole];
        for (int changes = random.Next(1, 5); changes > 0; changes--)
        {
            int from = random.Next(3) == 0 ? 0 : Math.Max(0, bytes.Length - 1_500);
            int at = random.Next(from, bytes.Length);
            switch (random.Next(6))
            {
                case 0:
                    bytes = [.. bytes[..at], .. bytes[Math.Min(bytes.Length, at + random.Next(1, 20))..], 0];
                    break;
                case 1:
                    bytes = [.. bytes[..at], .. bytes.AsSpan(random.Next(bytes.Length)), .. whole[^8..]];
                    break;
                case 2:
                    bytes[at] = 0xFF;
                    break;
                default:
                    bytes[at] ^= (byte)(1 << random.Next(8));
                    break;
            }
        }
        return bytes;
    }
}
