using System.Buffers.Binary;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Tests.Memory;

/// <summary>
/// Snapshots that are not what was saved. On disk a checksum stands before all this; here nothing does, for what is read must
/// do no harm by itself.
/// </summary>
public sealed class BrokenSnapshotTests
{
    private static readonly byte[] s_whole = Whole();

    private static byte[] Whole()
    {
        MachineAssessor assessor = new(TestFilm.Settings);
        foreach (Reading reading in RestlessTrace.Readings.AsSpan(0, 20_000))
            assessor.Process(reading);
        return RestoreTests.Save(assessor);
    }

    [Fact]
    public void One_that_ends_too_early_is_refused_wherever_it_ends()
    {
        for (int length = 0; length < s_whole.Length; length += 997)
            Assert.Throws<InvalidDataException>(() => Restore(s_whole[..length]));
        Assert.Throws<InvalidDataException>(() => Restore(s_whole[..^1]));
    }

    [Fact]
    public void One_that_goes_on_too_long_is_refused() =>
        Assert.Throws<InvalidDataException>(() => Restore([.. s_whole, 0]));

    [Fact]
    public void One_of_a_machine_with_other_windows_is_refused()
    {
        MachineSettings slower = TestFilm.Settings with { PollSeconds = 0.05 };
        Assert.Throws<InvalidDataException>(() => MachineAssessor.Restore(slower, s_whole, 0, TimeSpan.Zero));
    }

    [Fact]
    public void A_part_that_stands_elsewhere_is_named()
    {
        byte[] broken = [.. s_whole];
        broken[8] ^= 1; // the first part's tag, behind the time
        InvalidDataException refused = Assert.Throws<InvalidDataException>(() => Restore(broken));
        Assert.Contains("Asmt", refused.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Whatever_bytes_it_holds_it_is_refused_or_goes_on_without_harm()
    {
        Random random = new(20261125);
        (int refused, int restored) = (0, 0);
        for (int round = 0; round < 3_000; round++)
        {
            byte[] bytes = Mutate(random);
            try
            {
                long before = GC.GetAllocatedBytesForCurrentThread();
                MachineAssessor assessor;
                try
                {
                    assessor = Restore(bytes);
                }
                finally
                {
                    Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - before, 0, 8 << 20);
                }
                restored++;
                TestFilm film = new();
                for (int i = 0; i < 150; i++)
                    assessor.Process(film.Next(50));
                RestoreTests.Save(assessor);
            }
            catch (InvalidDataException)
            {
                refused++;
            }
        }
        Assert.True(refused > 300 && restored > 300, $"refused {refused}, restored {restored}");
    }

    private static byte[] Mutate(Random random)
    {
        byte[] bytes = [.. s_whole];
        switch (random.Next(5))
        {
            case 0: // noise throughout
                bytes = new byte[random.Next(4096)];
                random.NextBytes(bytes);
                break;
            case 1: // noise behind a good beginning
                random.NextBytes(bytes.AsSpan(random.Next(bytes.Length)));
                break;
            case 2: // one bit
                bytes[random.Next(bytes.Length)] ^= (byte)(1 << random.Next(8));
                break;
            case 3: // a number that is too much, where small fields are: at both ends
                int at = random.Next(2) == 0 ? random.Next(4_000) : bytes.Length - 8 - random.Next(20_000);
                long[] extremes =
                [
                    long.MaxValue,
                    long.MinValue,
                    -1,
                    int.MaxValue,
                    int.MinValue,
                    1L << 62,
                    0x7FF0000000000000,
                ];
                BinaryPrimitives.WriteInt64LittleEndian(
                    bytes.AsSpan(at),
                    extremes[random.Next(extremes.Length)]
                );
                break;
            default: // a stretch of it
                random.NextBytes(bytes.AsSpan(random.Next(bytes.Length - 64), random.Next(1, 64)));
                break;
        }
        return bytes;
    }

    private static MachineAssessor Restore(byte[] bytes) =>
        MachineAssessor.Restore(TestFilm.Settings, bytes, 0, TimeSpan.Zero);
}
