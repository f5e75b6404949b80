namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// A spectrum for a person to look at; nothing is decided by it. Of the last <see cref="SpanSeconds"/>, without a straight
/// trend, Hann taper (Harris 1978). A tone between two lines shows up to 30 % too low. Not thread-safe; allocates nothing
/// after construction.
/// </summary>
public sealed class FillSpectrum
{
    private const double GridSeconds = 0.1;
    private const double HighestHz = 4;

    /// <summary>With fewer values nothing is shown.</summary>
    private const int FewestValues = 256;

    private readonly Spectrum _spectrum = new();

    /// <summary>Length of fill that is looked at, s.</summary>
    public static double SpanSeconds => GridSeconds * ReadingWindow.Bins;

    /// <summary>From one line to the next, Hz.</summary>
    public static double StepHz => 1 / (2 * SpanSeconds);

    /// <summary>Lines from 0 Hz on.</summary>
    public static int Lines => (int)(HighestHz / StepHz) + 1;

    /// <summary>Computes the lines.</summary>
    /// <param name="seconds">Times of the values, s, rising, over <see cref="SpanSeconds"/> at most.</param>
    /// <param name="fill">Fill, %, finite; the trend is taken out in place.</param>
    /// <param name="amplitudes">Where <see cref="Lines"/> lines go: zero-to-peak amplitude of a tone there, % of fill.</param>
    /// <returns>False, and nothing written, where the values are too few or cover less than half of the span.</returns>
    public bool TryCompute(ReadOnlySpan<double> seconds, Span<double> fill, Span<double> amplitudes)
    {
        if (seconds.Length < FewestValues || seconds[^1] - seconds[0] < SpanSeconds / 2)
            return false;
        LineFit.TakeFrom(fill, seconds);
        _spectrum.Compute(seconds, fill, GridSeconds, HighestHz);
        // A tone of amplitude A peaks at A^2 T / 6 under a Hann taper.
        for (int k = 0; k < Lines; k++)
            amplitudes[k] = Math.Sqrt(6 * _spectrum.Density(k * StepHz) * _spectrum.CellHz);
        return true;
    }
}
