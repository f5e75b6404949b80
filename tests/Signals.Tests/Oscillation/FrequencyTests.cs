using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Tests.Oscillation;

/// <summary>
/// Frequency error against the Cramer-Rao bound of one tone in white noise, sd(f) = fs / (2 pi) sqrt(24 s^2 / (A^2 N
/// (N^2 - 1))) (Rife and Boorstyn 1974; formula from memory).
/// </summary>
public sealed class FrequencyTests
{
    [Theory]
    [InlineData(0.7, 16, 40)]
    [InlineData(1.3, 16, 40)]
    [InlineData(4.1, 16, 40)]
    [InlineData(0.2, 64, 40)]
    [InlineData(0.5, 64, 40)]
    [InlineData(0.05, 256, 20)]
    [InlineData(0.012, 1024, 8)]
    public void Frequency_error_stays_within_one_and_a_half_times_the_Cramer_Rao_bound(
        double hz,
        double windowSeconds,
        int runs
    )
    {
        const double amplitude = 1;
        double squares = 0;
        double bound = 0;
        double sd = 0;
        for (int run = 0; run < runs; run++)
        {
            SyntheticFill source = new(seed: 2000 + run);
            double trueHz = hz * (1 + 0.02 * source.Uniform());
            SyntheticFill tone = new(seed: 3000 + run)
            {
                Fill = SyntheticFill.Sine(trueHz, amplitude, phase: 6 * source.Uniform()),
            };
            OscillationDetector detector = new(tone.PollSeconds);
            OscillationEstimate estimate = tone.Feed(detector, 0, windowSeconds + 1);
            Assert.True(estimate.IsOscillating, $"run {run}: {estimate}");
            double n = estimate.Periods / estimate.FrequencyHz / tone.PollSeconds * (1 - tone.LostShare);
            double fs = (1 - tone.LostShare) / tone.PollSeconds;
            bound =
                fs
                / (2 * Math.PI)
                * Math.Sqrt(24 * tone.NoiseSd * tone.NoiseSd / (amplitude * amplitude * n * (n * n - 1)));
            squares += Math.Pow((estimate.FrequencyHz - trueHz) / bound, 2);
            sd += estimate.FrequencySdHz / bound;
        }
        double ratio = Math.Sqrt(squares / runs);
        Assert.True(ratio <= 1.5, $"RMS error is {ratio:F2} of the bound {bound:E2} Hz, sd {sd / runs:F2}");
        // At ten periods the tone's own skirts raise the background: the stated uncertainty errs on the safe side.
        Assert.InRange(sd / runs, 0.8, windowSeconds * hz < 15 ? 2.2 : 1.4);
    }
}
