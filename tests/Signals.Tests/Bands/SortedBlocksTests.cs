using Dancerwatch.Signals.Bands;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Bands;

public sealed class SortedBlocksTests
{
    [Property(MaxTest = 60)]
    public void What_goes_in_comes_out_again_block_by_block_for_as_long_as_there_is_room(int seed)
    {
        Random random = new(seed);
        int codes = random.Next(1, SlidingBands.MostCodes + 1);
        int readings = random.Next(1, 200);
        SortedBlocks blocks = new(blocks: 5, readings, codes);
        GapCounts held = new(codes);
        Queue<ushort[]> plain = new();
        for (int label = 0; label < 30; label++)
        {
            ushort[] block = [.. Enumerable.Range(0, readings).Select(_ => (ushort)random.Next(0, codes))];
            while (!blocks.HasRoom(block.Length))
            {
                Pop(blocks, held, codes, random);
                plain.Dequeue();
            }
            Assert.Equal(plain.Count > 0 ? label - plain.Count : null, blocks.Oldest);
            plain.Enqueue([.. block]);
            foreach (ushort code in block)
                held.Add(code);
            Push(blocks, label, block);
            Assert.Equal(plain.SelectMany(code => code).Order().Select(code => (int)code), Sorted(held));
        }
        Assert.InRange(plain.Count, 5, 30);
    }

    [Fact]
    public void The_worst_of_codes_fits_as_often_as_promised()
    {
        SortedBlocks blocks = new(blocks: 480, readings: 3_030, codes: 4_096);
        ushort[] worst = new ushort[3_030];
        worst.AsSpan(1_500).Fill(4_095);
        for (int label = 0; label < 480; label++)
        {
            Assert.True(blocks.HasRoom(worst.Length));
            Push(blocks, label, worst);
        }
        Assert.False(blocks.HasRoom(worst.Length));
    }

    private static void Push(SortedBlocks blocks, int label, ushort[] codes)
    {
        blocks.Open(label, codes.Length);
        foreach (IGrouping<ushort, ushort> same in codes.Order().GroupBy(code => code))
            blocks.Write(same.Key, same.Count());
    }

    private static void Pop(SortedBlocks blocks, GapCounts from, int codes, Random random)
    {
        GapCounts leaving = new(codes);
        BlockPlace place = blocks.BeginOldest();
        while (place.Left > 0)
            blocks.Unpack(ref place, leaving, random.Next(0, place.Left + 1));
        from.Remove(leaving);
        blocks.DropOldest();
    }

    private static IEnumerable<int> Sorted(GapCounts counts) =>
        Enumerable.Range(1, counts.Count).Select(counts.Smallest);
}
