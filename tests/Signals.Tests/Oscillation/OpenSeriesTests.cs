using System.Numerics;
using Dancerwatch.Signals.Oscillation;
using MathNet.Numerics.IntegralTransforms;

namespace Dancerwatch.Signals.Tests.Oscillation;

/// <summary>
/// Known periods of open series (R's datasets), and fits and densities by scipy. Provenance stands in each file's header.
/// </summary>
public sealed class OpenSeriesTests
{
    /// <summary>
    /// Periods in years from the project's check values (Lomb-Scargle in R on the same series). The cell 1 / span is
    /// 0.03 of the sunspots' frequency and 0.05 of nottem's; detrending moves a broad peak a little.
    /// </summary>
    [Theory]
    [InlineData("sunspots-yearly", 1, 11.04, 0.01)]
    [InlineData("sunspots-yearly-70-percent", 1, 11.05, 0.01)]
    [InlineData("sunspots-monthly", 1 / 12.0, 11.08, 0.01)]
    [InlineData("sunspots-monthly-70-percent", 1 / 12.0, 11.08, 0.01)]
    [InlineData("lynx-log10", 1, 9.616, 0.01)]
    [InlineData("lynx-log10-70-percent", 1, 9.588, 0.01)]
    [InlineData("nottem", 1 / 12.0, 1.0003, 0.002)]
    [InlineData("nottem-70-percent", 1 / 12.0, 1.0001, 0.002)]
    public void Periods_of_open_series_are_found(
        string name,
        double pollYears,
        double periodYears,
        double relative
    )
    {
        OscillationReference series = OscillationReference.Read(name);
        // One window over the whole series, a year for a second.
        double span = 1.01 * (series.Times[^1] - series.Times[0]);
        ReadingWindow window = new(span, pollYears);
        for (int i = 0; i < series.Times.Length; i++)
            window.Add(series.Times[i], series.Values[i], double.NaN);
        double low = Math.Min(0.3 / periodYears, 8 / span);
        WindowAnalysis analysis = new(window.Capacity);
        analysis.Begin(window, low, 2.2 / periodYears, cycleHz: double.NaN, smallestAmplitude: 0);
        while (!analysis.Advance()) { }
        WindowFinding found = analysis.Finding;
        Assert.InRange(1 / found.FrequencyHz, periodYears * (1 - relative), periodYears * (1 + relative));
        Assert.True(found.Regularity > 1, $"regularity {found.Regularity}");
        double scipy = series["frequency_per_year"];
        Assert.InRange(found.FrequencyHz, scipy * (1 - relative), scipy * (1 + relative));
    }

    /// <summary>The same least-squares problem, solved by scipy.optimize.least_squares.</summary>
    [Fact]
    public void A_tone_at_uneven_times_is_fitted_as_scipy_fits_it()
    {
        OscillationReference series = OscillationReference.Read("tone-uneven");
        Tone tone = ToneFit.Refine(
            series.Times,
            series.Values,
            startHz: 1.33,
            spanSeconds: series.Times[^1] - series.Times[0]
        );
        // The last step may leave 1e-4 of a cell (1/16 Hz) and the amplitudes of the frequency before it.
        Assert.Equal(series["frequency"], tone.FrequencyHz, 1e-5);
        Assert.Equal(series["cosine"], tone.Cosine, 2e-3);
        Assert.Equal(series["sine"], tone.Sine, 2e-3);
        Assert.Equal(series["mean"], tone.Mean, 1e-4);
        Tone exact = ToneFit.At(series.Times, series.Values, series["frequency"]);
        Assert.Equal(series["cosine"], exact.Cosine, 1e-6);
        Assert.Equal(series["sine"], exact.Sine, 1e-6);
    }

    /// <summary>scipy.signal.periodogram with the same taper and padding.</summary>
    [Fact]
    public void Density_on_an_even_grid_is_scipys()
    {
        OscillationReference input = OscillationReference.Read("density-input");
        OscillationReference expected = OscillationReference.Read("density-expected");
        Spectrum spectrum = new();
        spectrum.Compute(input.Times, input.Values, gridSeconds: 0.03125, highestHz: 16);
        for (int i = 0; i < expected.Times.Length; i++)
            Assert.Equal(
                expected.Values[i],
                spectrum.Density(expected.Times[i]),
                1e-6 * expected.Values[i] + 1e-12
            );
    }

    /// <summary>Math.NET Numerics computes the same transform.</summary>
    [Theory]
    [InlineData(8)]
    [InlineData(64)]
    [InlineData(1024)]
    public void Power_is_that_of_an_independent_transform(int size)
    {
        SyntheticFill source = new(seed: size);
        double[] series = [.. Enumerable.Range(0, size - 3).Select(_ => source.Gaussian())];
        double[] power = new double[size / 2];
        new FourierTransform(size).Power(series, power);
        Complex[] other = new Complex[size];
        for (int i = 0; i < series.Length; i++)
            other[i] = series[i];
        Fourier.Forward(other, FourierOptions.NoScaling);
        for (int k = 0; k < power.Length; k++)
            Assert.Equal(other[k].Magnitude * other[k].Magnitude, power[k], 1e-9 * size);
    }
}
