using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Tests.Causes;
using Dancerwatch.Signals.Warnings;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Warnings;

public sealed class SensitivityTests
{
    private static readonly WarningSettings s_usual = new();

    [Fact]
    public void At_one_nothing_changes() => Assert.Equal(s_usual, s_usual.AtSensitivity());

    /// <summary>By hand: limits from below times 2, from above over 2; odds of 0.5 halved are 1 : 2, of 0.7 they are 7 : 6.</summary>
    [Fact]
    public void At_two_each_limit_moves_as_its_unit_asks()
    {
        WarningSettings two = (s_usual with { Sensitivity = 2 }).AtSensitivity();

        Assert.Equal(2 * s_usual.LimitApproach.Limit, two.LimitApproach.Limit);
        Assert.Equal(2 * s_usual.MarginLow.Limit, two.MarginLow.Limit);
        Assert.Equal(2 * s_usual.RollOverrun.Limit, two.RollOverrun.Limit);
        Assert.Equal(s_usual.Oscillation.Limit / 2, two.Oscillation.Limit);
        Assert.Equal(s_usual.OffTarget.Limit / 2, two.OffTarget.Limit);
        Assert.Equal(1.0 / 4, two.TripLikely.Limit, 1e-12);
        Assert.Equal(1.0 / 3, two.DriveLimit.Limit, 1e-12);
        Assert.Equal(7.0 / 13, two.SensorSuspect.Limit, 1e-12);
        Assert.Equal(s_usual.RollEnding, two.RollEnding);
        Assert.Equal(s_usual.DataLost, two.DataLost);
        Assert.Equal(1, two.Sensitivity);
    }

    [Property]
    public bool Put_into_the_limits_twice_it_counts_once(int seed)
    {
        WarningSettings at = (s_usual with { Sensitivity = Between(new Random(seed)) }).AtSensitivity();
        return at.AtSensitivity() == at;
    }

    [Property(MaxTest = 1_000)]
    public bool What_speaks_for_a_condition_at_a_low_sensitivity_does_so_at_a_higher_one(int seed)
    {
        CauseSigns signs = HealthySigns.Random(seed);
        Assessment assessment = RandomAssessment.Of(seed, signs);
        (ConditionSigns low, ConditionSigns high) = Pair(new Random(seed), out _, out _);
        for (Condition condition = 0; condition < Condition.DataLost; condition++)
        {
            (ConditionSign less, ConditionSign more) =
                condition == Condition.RollOverrun
                    ? (low.RollOverrun(signs), high.RollOverrun(signs))
                    : (
                        low.WhileRunning(condition, assessment, signs),
                        high.WhileRunning(condition, assessment, signs)
                    );
            if (
                less.Excess >= 0
                && !(more.Excess >= 0 && more.Priority >= less.Priority && more.Side == less.Side)
            )
                return false;
        }
        return true;
    }

    [Property(MaxTest = 100)]
    public bool What_a_low_sensitivity_keeps_raised_a_higher_one_does_too(int seed)
    {
        var random = new Random(seed);
        Pair(random, out WarningSettings less, out WarningSettings more);
        foreach (Condition condition in Enum.GetValues<Condition>())
        {
            var low = new ConditionLatch(less[condition]);
            var high = new ConditionLatch(more[condition]);
            bool isFromBelow = less[condition].Limit <= more[condition].Limit;
            double value = less[condition].Limit;
            for (int i = 0; i < 1_000; i++)
            {
                value += 0.2 * less[condition].Limit * (random.NextDouble() - 0.5);
                Give(low, less[condition].Limit);
                Give(high, more[condition].Limit);
                if (low.IsRaised && !high.IsRaised)
                    return false;

                void Give(ConditionLatch latch, double limit)
                {
                    double excess = isFromBelow ? limit - value : value - limit;
                    var sign = new ConditionSign(excess, Signals.Fill.Side.Full, Priority.Low);
                    latch.Next(i * TimeSpan.TicksPerSecond / 2, 0.5, sign, Cause.Unknown);
                }
            }
        }
        return true;
    }

    private static (ConditionSigns, ConditionSigns) Pair(
        Random random,
        out WarningSettings less,
        out WarningSettings more
    )
    {
        double[] two = [Between(random), Between(random)];
        less = (s_usual with { Sensitivity = two.Min() }).AtSensitivity();
        more = (s_usual with { Sensitivity = two.Max() }).AtSensitivity();
        return (
            new ConditionSigns(less, TestFilm.Settings.Fill),
            new ConditionSigns(more, TestFilm.Settings.Fill)
        );
    }

    private static double Between(Random random) => Math.Exp((2 * random.NextDouble()) - 1);
}
