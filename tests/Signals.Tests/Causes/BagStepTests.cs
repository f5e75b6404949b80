using Dancerwatch.Signals.Causes;

namespace Dancerwatch.Signals.Tests.Causes;

public sealed class BagStepTests
{
    private readonly BagStep _bag = new();

    [Fact]
    public void A_longer_bag_is_seen_within_a_few_blocks()
    {
        Assert.False(Run(60, 12));

        Assert.True(Run(4, 13));
    }

    [Fact]
    public void What_creeps_by_1_percent_a_block_is_no_other_bag()
    {
        Assert.False(Run(60, 12));
        for (int i = 0; i < 30; i++)
            Assert.False(_bag.IsOther(12 * (1 + (0.01 * i))));
    }

    [Fact]
    public void A_start_is_none_either()
    {
        Assert.False(Run(60, 12));
        _bag.Clear();

        Assert.False(Run(10, 18));
        Assert.False(Run(100, 12));
    }

    private bool Run(int blocks, double unwind)
    {
        bool isOther = false;
        for (int i = 0; i < blocks; i++)
            isOther |= _bag.IsOther(unwind);
        return isOther;
    }
}
