using Dancerwatch.Signals.FilmPath;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Tests.Readings;

namespace Dancerwatch.Signals.Tests.FilmPath;

/// <summary>Blocks of one second, as cut from fill by the code itself where the cycle matters.</summary>
public sealed class ReversalCounterTests
{
    private readonly ReversalCounter _counter = new();

    /// <summary>Reversals from a second on, of a dancer that goes as told, read at 50 Hz with a cycle of 60 a minute.</summary>
    private int Count(Func<double, double> fill, double seconds, double from = 60)
    {
        FilmBlocks blocks = new(0.02);
        HeldExtremes held = new(0.5, 0.02);
        int reversals = 0;
        for (double t = 0; t < seconds; t += 0.02)
        {
            held.Add(t, fill(t));
            Reading reading = ReadingMaker.At(t, (Signal.UnwindSpeed, 12), (Signal.CycleRate, 60));
            if (blocks.Add(t, fill(t), held, reading, reading[Signal.CycleRate], out FilmBlock block))
                reversals += _counter.Add(block) && t > from ? 1 : 0;
        }
        return reversals;
    }

    private static double Sine(double amplitude, double hertz, double t) =>
        amplitude * Math.Sin(2 * Math.PI * hertz * t);

    [Fact]
    public void The_cycles_own_jerk_counts_for_nothing_however_far_it_swings() =>
        Assert.Equal(0, Count(t => 50 + Sine(15, 1, t) + Sine(6, 2, t), 600));

    [Fact]
    public void A_loop_that_begins_to_hunt_reverses_twice_a_period() =>
        // 10 % at 0.1 Hz is 6 %/s at its fastest.
        Assert.InRange(Count(t => 50 + Sine(15, 1, t) + (t < 120 ? 0 : Sine(10, 0.1, t)), 420), 58, 60);

    [Fact]
    public void A_slow_swing_is_no_sudden_reversal() =>
        // As fast as 3 %/s, but 10 s from one way to the other.
        Assert.Equal(0, Count(t => 50 + (t < 120 ? 0 : Sine(30, 0.016, t - 120)), 900));

    [Fact]
    public void A_dancer_that_falls_and_stays_does_not_reverse() =>
        Assert.Equal(0, Count(t => t < 120 ? 60 : Math.Max(20, 60 - 8 * (t - 120)), 300));

    [Fact]
    public void What_the_dancer_always_did_is_usual() =>
        // From the start: it is the machine's way, not a reversal that came.
        Assert.Equal(0, Count(t => 50 + Sine(10, 0.1, t), 600));

    [Fact]
    public void Across_a_break_nothing_reverses()
    {
        Count(t => 50, 120);
        int reversals = 0;
        for (int i = 0; i < 20; i++)
        {
            _counter.Break();
            reversals += _counter.Add(
                new FilmBlock
                {
                    Seconds = i,
                    DurationSeconds = 1,
                    MeanFill = 50 + i % 2 * 20,
                }
            )
                ? 1
                : 0;
        }
        Assert.Equal(0, reversals);
    }
}
