using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Regimes;

/// <summary>What holds of every sequence of regimes, whatever is read.</summary>
public sealed class RegimeInvariantsTests
{
    private static readonly FillSettings s_fill = new() { GapAtEmpty = 0, GapAtFull = 100 };

    [Property(MaxTest = 20)]
    public void Any_readings_at_all_give_regimes_that_keep_their_promises(int seed)
    {
        Random random = new(seed);
        FillScale scale = new(s_fill);
        RegimeTracker tracker = new(s_fill);
        RegimeEstimate before = default;
        long ticks = 0;
        SignalValues values = SignalValues.Unknown;
        for (int i = 0; i < 2_000; i++)
        {
            ticks += random.Next(0, 100) == 0 ? random.NextInt64(-10_000_000, 200_000_000) : 200_000;
            if (random.Next(0, 40) == 0)
                values[(Signal)random.Next(0, SignalValues.Count)] = Anything(random);
            Reading reading =
                random.Next(0, 50) == 0 ? Reading.Failed(ticks) : new Reading(ticks, values, Quality.Good);

            RegimeEstimate now = tracker.Next(reading, scale.Next(reading));

            Assert.Equal(now.Regime != before.Regime, now.Changed);
            Assert.Equal(now.Regime == Regime.Tripped, now.TripSide != Side.None);
            Assert.Equal(now.Regime == Regime.Running, now.CountsForStatistics);
            Assert.True(now.Seconds >= 0);
            Assert.True(!now.Settling || now.CountsForStatistics);
            if (now is { Changed: true, Regime: Regime.Running })
                Assert.True(before.Regime is Regime.Starting or Regime.Stopping);
            before = now;
        }
    }

    private static double Anything(Random random) =>
        random.Next(0, 10) switch
        {
            0 => double.NaN,
            1 => double.PositiveInfinity,
            2 => double.NegativeInfinity,
            3 => 1e12,
            4 or 5 => 0,
            6 or 7 => 1,
            _ => random.NextDouble() * 120,
        };
}
