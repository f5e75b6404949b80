using Dancerwatch.Signals.Survey;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.Signals.Tests.Survey.Steps;

public sealed class CycleFoldTests
{
    // A trapezoid of speed out and an even flow in: film as a smooth, uneven wave of known swing.
    [Theory]
    [InlineData(0.55, true)]
    [InlineData(1, true)]
    [InlineData(1.9, true)]
    [InlineData(1.2, false)]
    public void The_swing_is_found_through_noise_drift_and_a_slower_wave(double hertz, bool isTold)
    {
        int covered = 0;
        List<double> errors = [];
        for (int seed = 0; seed < 40; seed++)
        {
            Random random = new(seed);
            (double[] seconds, double[] gaps, double swing) = Cycles(random, hertz);
            (double found, _, _, Uncertain measured) = CycleFold.Of(
                seconds,
                gaps,
                isTold ? hertz * 1.002 : double.NaN
            );
            Assert.Equal(hertz, found, 2e-3);
            errors.Add(measured.Value - swing);
            covered += Math.Abs(measured.Value - swing) <= measured.Plus ? 1 : 0;
        }
        TestContext.Current.TestOutputHelper!.WriteLine(
            $"{hertz} Hz: mean error {errors.Average():0.00}, largest {errors.Max(Math.Abs):0.00} of 120; covered {covered} of 40"
        );
        Assert.InRange(covered, 36, 40);
        Assert.All(errors, error => Assert.InRange(error, -3.6, 3.6)); // 3 %
    }

    [Fact]
    public void Too_few_cycles_are_not_enough()
    {
        double[] seconds = [.. Enumerable.Range(0, 500).Select(i => i * 0.02)];
        double[] gaps = [.. seconds.Select(second => Math.Sin(second))];

        Assert.False(CycleFold.Of(seconds, gaps, 0.16).Swing.IsKnown);
    }

    private static (double[] Seconds, double[] Gaps, double Swing) Cycles(Random random, double hertz)
    {
        const double swing = 120;
        double[] seconds = new double[3000];
        double[] gaps = new double[3000];
        double phase = random.NextDouble();
        for (int i = 0; i < seconds.Length; i++)
        {
            seconds[i] = (i * 0.02) + (0.002 * random.NextDouble());
            double turn = 2 * Math.PI * ((hertz * seconds[i]) + phase);
            double noise = 4 * Math.Sqrt(12) * (random.NextDouble() - 0.5);
            gaps[i] = Math.Round(
                2000
                    + (swing * Wave(turn) / Range)
                    + (0.5 * seconds[i])
                    + (5 * Math.Sin(0.9 * seconds[i]))
                    + noise
            );
        }
        return (seconds, gaps, swing);
    }

    private static readonly double Range =
        Enumerable.Range(0, 100_000).Select(i => Wave(i * 2e-5 * Math.PI)).Max()
        - Enumerable.Range(0, 100_000).Select(i => Wave(i * 2e-5 * Math.PI)).Min();

    private static double Wave(double turn) => Math.Sin(turn) + (0.2 * Math.Sin(2 * turn));
}
