using Dancerwatch.Signals.Survey;

namespace Dancerwatch.Signals.Tests.Survey;

public sealed class BlockMeanTests
{
    private const int Trials = 2000;
    private const double TrueGap = 1234.3;

    // JCGM 100:2008 (GUM), 6.2: an expanded uncertainty of 95 % covers the true value in about 95 of 100 measurements.
    [Theory]
    [InlineData(0.6, 0, 1)]
    [InlineData(2, 0, 1)]
    [InlineData(4, 0, 1)]
    [InlineData(1, 0.6, 1)]
    [InlineData(1, 3, 1)]
    [InlineData(0.02, 0, 0.001)]
    public void Its_interval_covers_the_true_gap_in_about_95_of_100(double noise, double tremble, double step)
    {
        int covered = 0;
        for (int seed = 0; seed < Trials; seed++)
        {
            double[] gaps = Hold(new Random(seed), noise, tremble, step);
            Uncertain gap = BlockMean.Of(gaps, step);
            covered += Math.Abs(gap.Value - TrueGap) <= gap.Plus ? 1 : 0;
        }

        double share = 100.0 * covered / Trials;
        TestContext.Current.TestOutputHelper!.WriteLine($"noise {noise}, tremble {tremble}: {share:0.0} %");
        // Binomial scatter of 2,000 trials is 0.5 %; blocks that still resemble each other a little cost a little more.
        Assert.InRange(share, 92.5, 98);
    }

    [Theory, InlineData(0.1), InlineData(0.3), InlineData(0.45)]
    public void Where_noise_is_smaller_than_half_a_step_it_covers_no_less(double noise)
    {
        int covered = 0;
        for (int seed = 0; seed < Trials; seed++)
        {
            Uncertain gap = BlockMean.Of(Hold(new Random(seed), noise, 0, step: 1), step: 1);
            covered += Math.Abs(gap.Value - TrueGap) <= gap.Plus ? 1 : 0;
        }

        Assert.InRange(100.0 * covered / Trials, 94, 100);
    }

    [Fact]
    public void The_plain_rule_would_promise_too_much_of_a_trembling_hand()
    {
        int covered = 0;
        for (int seed = 0; seed < Trials; seed++)
        {
            double[] gaps = Hold(new Random(seed), 1, 3, 1);
            double mean = gaps.Average();
            double deviation = Math.Sqrt(gaps.Sum(gap => (gap - mean) * (gap - mean)) / (gaps.Length - 1));
            covered += Math.Abs(mean - TrueGap) <= 1.96 * deviation / Math.Sqrt(gaps.Length) ? 1 : 0;
        }

        Assert.InRange(100.0 * covered / Trials, 0, 60);
    }

    [Fact]
    public void Fewer_readings_than_two_a_block_say_nothing()
    {
        Assert.False(BlockMean.Of(new double[11], 1).IsKnown);
        Assert.True(BlockMean.Of(new double[12], 1).IsKnown);
    }

    [Fact]
    public void Readings_that_are_all_the_same_are_known_to_half_a_step()
    {
        double[] gaps = [.. Enumerable.Repeat(700.0, 500)];

        Uncertain gap = BlockMean.Of(gaps, step: 2);

        Assert.Equal(700, gap.Value);
        // A rectangle of 2: standard deviation 2 / sqrt 12, times 1.96.
        Assert.Equal(1.96 * 2 / Math.Sqrt(12), gap.Plus, 2e-3);
    }

    // t for 95 %, two-sided: any table; GUM table G.2, from memory.
    [Theory]
    [InlineData(1, 12.71)]
    [InlineData(7, 2.36)]
    [InlineData(7.9, 2.36)]
    [InlineData(20, 2.09)]
    [InlineData(30, 2.04)]
    [InlineData(100, 1.984)]
    [InlineData(1e9, 1.96)]
    public void The_coverage_factor_is_students_t(double freedom, double factor) =>
        Assert.Equal(factor, Coverage.Factor(freedom), 5e-3);

    // 10 s at 50 Hz: white noise, a hand's slow tremble forgotten in 0.3 s, rounded to steps.
    private static double[] Hold(Random random, double noise, double tremble, double step)
    {
        double kept = Math.Exp(-0.02 / 0.3);
        double hand = tremble * Normal(random);
        double[] gaps = new double[500];
        for (int i = 0; i < gaps.Length; i++)
        {
            hand = (kept * hand) + (Math.Sqrt(1 - (kept * kept)) * tremble * Normal(random));
            gaps[i] = step * Math.Round((TrueGap + hand + (noise * Normal(random))) / step);
        }
        return gaps;
    }

    private static double Normal(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
