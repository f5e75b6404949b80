using System.Buffers;
using Dancerwatch.EdgeAgent.Recording.Parquet;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Recording.Parquet;

public sealed class RunLengthsTests
{
    [Fact]
    public void Eight_different_numbers_are_packed_as_the_specification_shows()
    {
        // parquet-format, Encodings.md, example of bit packing: 0 to 7 at 3 bits are 10001000 11000110 11111010 (from memory).
        // The byte before says: one group of 8, packed.
        Assert.Equal([0x03, 0x88, 0xC6, 0xFA], Written([0, 1, 2, 3, 4, 5, 6, 7], bits: 3));
    }

    [Fact]
    public void A_number_that_repeats_is_a_run_of_it()
    {
        // 100 times: header 100 << 1 as a varint, then the number in whole bytes.
        Assert.Equal([0xC8, 0x01, 0x05], Written([.. Enumerable.Repeat(5, 100)], bits: 3));
    }

    [Property]
    public void What_is_written_is_read(byte[] numbers, byte repeat)
    {
        // Runs of any length between numbers that differ.
        int[] all = [.. numbers.SelectMany((n, i) => Enumerable.Repeat((int)n, i % 3 == 0 ? repeat : 1))];

        int[] read = new int[all.Length];
        RunLengths.Read(Written(all, bits: 8), bits: 8, read);

        Assert.Equal(all, read);
    }

    [Property]
    public void Bytes_that_nobody_wrote_are_refused_or_read_and_nothing_else(byte[] bytes, byte bits)
    {
        int[] read = new int[100];
        try
        {
            RunLengths.Read(bytes, bits, read);
        }
        catch (ParquetException)
        {
            return;
        }
        Assert.All(read, number => Assert.InRange(number, 0, 0xFFFFFF));
    }

    private static byte[] Written(int[] numbers, int bits)
    {
        ArrayBufferWriter<byte> into = new();
        RunLengths.Write(numbers, bits, into);
        return into.WrittenSpan.ToArray();
    }
}
