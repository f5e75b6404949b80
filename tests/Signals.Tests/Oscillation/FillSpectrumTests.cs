using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Tests.Oscillation;

public sealed class FillSpectrumTests
{
    private readonly double[] _lines = new double[FillSpectrum.Lines];

    [Theory]
    [InlineData(0.3, 8)]
    [InlineData(1.0, 5)]
    [InlineData(2.5, 2)]
    public void A_tone_stands_at_its_frequency_with_its_amplitude(double hertz, double amplitude)
    {
        Assert.True(
            Compute(second => 40 + (0.1 * second) + (amplitude * Math.Sin(2 * Math.PI * hertz * second)))
        );

        int highest = Array.IndexOf(_lines, _lines.Max());
        Assert.Equal(hertz, highest * FillSpectrum.StepHz, FillSpectrum.StepHz);
        // Up to 30 % lower between two lines, and a little more where 25 readings a second are put on a grid of 10 a second.
        Assert.InRange(_lines[highest], 0.6 * amplitude, 1.05 * amplitude);
    }

    [Fact]
    public void A_straight_drift_shows_no_line()
    {
        Assert.True(Compute(second => 10 + second));

        Assert.InRange(_lines.Max(), 0, 1e-6);
    }

    [Fact]
    public void Too_short_a_stretch_shows_nothing() => Assert.False(Compute(second => 50, seconds: 20));

    private bool Compute(Func<double, double> fill, double? seconds = null)
    {
        double[] times =
        [
            .. Enumerable
                .Range(0, (int)((seconds ?? FillSpectrum.SpanSeconds - 0.1) * 25))
                .Select(i => i * 0.04),
        ];
        return new FillSpectrum().TryCompute(times, [.. times.Select(fill)], _lines);
    }
}
