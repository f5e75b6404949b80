using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Tests.Causes;
using Dancerwatch.Signals.Warnings;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Warnings;

public sealed class WarningTextTests
{
    [Fact]
    public void A_roll_that_shows_in_the_unwinds_speed_alone_is_not_told_as_a_swing_of_fill()
    {
        CauseSigns signs = HealthySigns.All with { TurnPercent = 12 };
        var assessment = new Assessment
        {
            OscillationNow = OscillationEstimate.Nothing(Rhythm.None),
            Causes = CauseRanker.Rank(signs),
        };

        Assert.Equal(
            "Unwind speed swings by 12 % once a turn of the roll, usually 0.5 %.",
            WarningText.Evidence(Condition.Oscillation, Side.Empty, assessment, signs)
        );
    }

    [Property(MaxTest = 2_000)]
    public bool What_raises_a_condition_of_a_running_machine_is_told_in_numbers_that_are_some(int seed)
    {
        CauseSigns signs = HealthySigns.Random(seed);
        Assessment assessment = RandomAssessment.Of(seed, signs);
        var settings = new WarningSettings();
        var judge = new ConditionSigns(settings, TestFilm.Settings.Fill);
        for (Condition condition = 0; condition < Condition.DataLost; condition++)
        {
            if (condition == Condition.RollOverrun)
                continue; // judged at a stop
            ConditionSign sign = judge.WhileRunning(condition, assessment, signs);
            if (!(sign.Excess >= 0) || !double.IsFinite(sign.Excess))
                continue;
            string said = WarningText.Evidence(condition, sign.Side, assessment, signs);
            if (
                said.Length == 0
                || said.Contains("NaN", StringComparison.Ordinal)
                || said.Contains("Infinity", StringComparison.Ordinal)
            )
                return false;
        }
        return true;
    }

    [Theory]
    [InlineData(Condition.LimitApproach)]
    [InlineData(Condition.Oscillation)]
    public void What_raised_a_condition_and_shows_no_more_is_not_told_in_numbers(Condition condition)
    {
        var assessment = new Assessment
        {
            Forecast = new ForecastEstimate { Side = Side.Full, SecondsToLimit = double.PositiveInfinity },
            OscillationNow = OscillationEstimate.Nothing(Rhythm.None),
            Causes = CauseRanker.Rank(HealthySigns.All),
        };

        Assert.Equal(
            "What raised it does not show at this moment.",
            WarningText.Evidence(condition, Side.Full, assessment, HealthySigns.All)
        );
    }

    [Property(MaxTest = 2_000)]
    public bool Whenever_a_condition_is_told_it_is_told_in_numbers_that_are_some(int seed)
    {
        CauseSigns signs = HealthySigns.Random(seed);
        Assessment assessment = RandomAssessment.Of(seed, signs);
        for (Condition condition = 0; condition <= Condition.DataLost; condition++)
        {
            foreach (Side side in Enum.GetValues<Side>())
            {
                string said = WarningText.Evidence(condition, side, assessment, signs);
                if (
                    said.Length == 0
                    || said.Contains("NaN", StringComparison.Ordinal)
                    || said.Contains("Infinity", StringComparison.Ordinal)
                )
                    return false;
            }
        }
        return true;
    }
}
