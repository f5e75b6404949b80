namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// One look at one window: takes the machine cycle out (folded), finds what else stands out of the background, and fits
/// it on the readings' own times. Cycle and tones are fitted in turns, each with the others taken out (RELAX: Li &amp;
/// Stoica 1996). Owns the scratch memory that all windows of a machine share.
/// </summary>
internal sealed class WindowAnalysis
{
    /// <summary>
    /// How far above the background a peak must stand. By chance e^-z at each of about 150 frequencies in all windows
    /// together; the rest is room for the uncertainty of the background (found by simulation, see docs/methods).
    /// </summary>
    public const double PeakThreshold = 18;

    /// <summary>Below this many periods in the window nothing is looked for.</summary>
    public const double FewestPeriodsSeen = 3;
    private const int FewestValues = 32;

    /// <summary>The background is fitted this far beyond the frequencies looked at, so that its ends hold.</summary>
    private const double BackgroundReach = 1.6;
    private const int Turns = 2;
    private const double OvertoneShare = 0.04;

    private readonly Spectrum _spectrum = new();
    private readonly CycleShape _shape = new();
    private readonly double[] _seconds;
    private readonly double[] _fill;
    private readonly double[] _residual;
    private readonly double[] _speed;
    private readonly double[] _speedSeconds;

    /// <param name="capacity">Most values a window holds.</param>
    public WindowAnalysis(int capacity)
    {
        _seconds = new double[capacity];
        _fill = new double[capacity];
        _residual = new double[capacity];
        _speed = new double[capacity];
        _speedSeconds = new double[capacity];
    }

    /// <param name="window">The readings.</param>
    /// <param name="lowHz">Lowest frequency this window answers for, Hz.</param>
    /// <param name="highHz">Highest, Hz.</param>
    /// <param name="cycleHz">The cycle's rate as known, Hz; NaN where unknown.</param>
    /// <param name="smallestAmplitude">Tones smaller than this are passed over, % of fill.</param>
    public WindowFinding Look(
        ReadingWindow window,
        double lowHz,
        double highHz,
        double cycleHz,
        double smallestAmplitude
    )
    {
        int count = window.CopyTo(_seconds, _fill, _speed, out _);
        if (count < FewestValues)
            return WindowFinding.Nothing(0);
        ReadOnlySpan<double> seconds = _seconds.AsSpan(0, count);
        Span<double> fill = _fill.AsSpan(0, count);
        Span<double> residual = _residual.AsSpan(0, count);
        double span = seconds[^1] - seconds[0];
        RemoveTrend(seconds, fill);

        double seenCycleHz = RefineCycle(seconds, fill, cycleHz, span);
        bool folded = FoldCycle(seconds, fill, residual, seenCycleHz, span);
        WindowFinding finding = WindowFinding.Nothing(span) with
        {
            CycleHz = folded ? seenCycleHz : double.NaN,
            CycleSwing = _shape.Swing,
        };
        double lowest = Math.Max(lowHz, FewestPeriodsSeen / span);
        if (lowest >= highHz)
            return finding;

        _spectrum.Compute(seconds, residual, window.BinSeconds, BackgroundReach * highHz);
        _spectrum.FitBackground(lowest / BackgroundReach, BackgroundReach * highHz, seenCycleHz);
        if (folded)
            finding = finding with { CycleMultiple = CycleMultiple(seenCycleHz, span) };
        Span<Peak> peaks = stackalloc Peak[2];
        int found = _spectrum.FindPeaks(lowest, highHz, seenCycleHz, PeakThreshold, smallestAmplitude, peaks);
        Span<Tone> tones = stackalloc Tone[2];
        found = FitTones(
            seconds,
            fill,
            residual,
            peaks[..found],
            tones,
            folded ? seenCycleHz : double.NaN,
            span
        );
        if (found < 2)
            tones[1] = Tone.None;
        else if (tones[1].Amplitude > tones[0].Amplitude)
            (tones[0], tones[1]) = (tones[1], tones[0]);
        finding = finding with { CycleSwing = _shape.Swing };
        if (found == 0 || tones[0].Amplitude < smallestAmplitude)
            return finding;
        finding = Describe(finding, tones[0], window, seconds);
        return finding with
        {
            HasOvertones = double.IsNaN(cycleHz) && HasOvertones(seconds, residual, tones[0], tones[1]),
        };
    }

    private WindowFinding Describe(
        in WindowFinding finding,
        in Tone tone,
        ReadingWindow window,
        ReadOnlySpan<double> seconds
    )
    {
        double frequency = tone.FrequencyHz;
        double span = finding.SpanSeconds;
        double amplitude = tone.Amplitude;
        // Cramer-Rao bound with the noise's density at this frequency: var f = 6 S / (pi^2 A^2 T^3).
        double sd =
            Math.Sqrt(6 * _spectrum.Background(frequency) / (span * span * span)) / (Math.PI * amplitude);
        Tone unwind = FitUnwind(seconds, frequency);
        double lead = unwind.LeadRadians - tone.LeadRadians;
        double gain = window.Gain(frequency);
        return finding with
        {
            FrequencyHz = frequency,
            FrequencySdHz = sd,
            Amplitude = amplitude / gain,
            Regularity = Regularity.Of(_spectrum, frequency, window.BinSeconds, span),
            UnwindAmplitude = double.IsNaN(unwind.FrequencyHz) ? double.NaN : unwind.Amplitude / gain,
            UnwindLeadRadians = double.IsNaN(unwind.FrequencyHz) ? double.NaN : lead,
        };
    }

    private static void RemoveTrend(ReadOnlySpan<double> seconds, Span<double> values)
    {
        double n = values.Length;
        double st = 0;
        double stt = 0;
        double sy = 0;
        double sty = 0;
        for (int i = 0; i < values.Length; i++)
        {
            st += seconds[i];
            stt += seconds[i] * seconds[i];
            sy += values[i];
            sty += seconds[i] * values[i];
        }
        double slope = (sty - st * sy / n) / (stt - st * st / n);
        double start = (sy - slope * st) / n;
        for (int i = 0; i < values.Length; i++)
            values[i] -= start + slope * seconds[i];
    }

    /// <summary>The cycle's rate from the readings where it shows, else as given; NaN where this window cannot hold it.</summary>
    private static double RefineCycle(
        ReadOnlySpan<double> seconds,
        ReadOnlySpan<double> fill,
        double cycleHz,
        double span
    )
    {
        double perCycle = (seconds.Length - 1) / (span * cycleHz);
        if (!(cycleHz * span >= 4) || perCycle < 5)
            return double.NaN;
        Tone tone = ToneFit.Refine(seconds, fill, cycleHz, span);
        double reach = Math.Max(0.5 / span, 0.02 * cycleHz);
        return Math.Abs(tone.FrequencyHz - cycleHz) <= reach ? tone.FrequencyHz : cycleHz;
    }

    private bool FoldCycle(
        ReadOnlySpan<double> seconds,
        ReadOnlySpan<double> fill,
        Span<double> residual,
        double cycleHz,
        double span
    )
    {
        if (double.IsFinite(cycleHz) && _shape.Fold(seconds, fill, cycleHz))
        {
            _shape.Subtract(seconds, fill, residual);
            return true;
        }
        _shape.Forget();
        fill.CopyTo(residual);
        return false;
    }

    /// <summary>Fits cycle and tones in turns. Leaves in <paramref name="residual"/> what none of them explains.</summary>
    private int FitTones(
        ReadOnlySpan<double> seconds,
        Span<double> fill,
        Span<double> residual,
        ReadOnlySpan<Peak> peaks,
        Span<Tone> tones,
        double cycleHz,
        double span
    )
    {
        int fitted = 0;
        foreach (Peak peak in peaks)
        {
            Tone tone = ToneFit.Refine(seconds, residual, peak.FrequencyHz, span);
            if (double.IsNaN(tone.FrequencyHz))
                continue;
            ToneFit.Subtract(seconds, residual, tone);
            tones[fitted++] = tone;
        }
        bool alone = fitted <= 1 && double.IsNaN(cycleHz);
        for (int turn = 1; turn < Turns && !alone; turn++)
        {
            Refold(seconds, fill, residual, tones[..fitted], cycleHz);
            for (int i = 0; i < fitted; i++)
            {
                ToneFit.Subtract(seconds, residual, tones[i], sign: -1);
                Tone again = ToneFit.Refine(seconds, residual, tones[i].FrequencyHz, span);
                if (!double.IsNaN(again.FrequencyHz))
                    tones[i] = again;
                ToneFit.Subtract(seconds, residual, tones[i]);
            }
        }
        return fitted;
    }

    private void Refold(
        ReadOnlySpan<double> seconds,
        Span<double> fill,
        Span<double> residual,
        ReadOnlySpan<Tone> tones,
        double cycleHz
    )
    {
        if (tones.IsEmpty || double.IsNaN(cycleHz))
            return;
        foreach (Tone tone in tones)
            ToneFit.Subtract(seconds, fill, tone);
        if (_shape.Fold(seconds, fill, cycleHz))
            _shape.Subtract(seconds, fill, residual);
    }

    /// <summary>Unwind speed at a frequency; <see cref="Tone.None"/> where more than a fifth of it was not read.</summary>
    private Tone FitUnwind(ReadOnlySpan<double> seconds, double frequencyHz)
    {
        int kept = 0;
        for (int i = 0; i < seconds.Length; i++)
        {
            if (!double.IsFinite(_speed[i]))
                continue;
            _speed[kept] = _speed[i];
            _speedSeconds[kept++] = seconds[i];
        }
        if (kept < 0.8 * seconds.Length)
            return Tone.None;
        RemoveTrend(_speedSeconds.AsSpan(0, kept), _speed.AsSpan(0, kept));
        return ToneFit.At(_speedSeconds.AsSpan(0, kept), _speed.AsSpan(0, kept), frequencyHz);
    }

    private int CycleMultiple(double cycleHz, double span)
    {
        (int multiple, double amplitude) = _shape.StrongestHarmonic();
        return StandsOut(amplitude, multiple * cycleHz, span) ? multiple : 0;
    }

    /// <summary>Overtones may still be in the residual, or have been fitted as the other tone.</summary>
    private bool HasOvertones(
        ReadOnlySpan<double> seconds,
        ReadOnlySpan<double> residual,
        in Tone tone,
        in Tone other
    )
    {
        double span = seconds[^1] - seconds[0];
        for (int multiple = 2; multiple <= 3; multiple++)
        {
            double frequency = multiple * tone.FrequencyHz;
            double overtone = ToneFit.At(seconds, residual, frequency).Amplitude;
            if (Math.Abs(other.FrequencyHz - frequency) < 0.5 / span)
                overtone = other.Amplitude;
            if (overtone > OvertoneShare * tone.Amplitude && StandsOut(overtone, frequency, span))
                return true;
        }
        return false;
    }

    /// <summary>A tone of amplitude A has a density of A^2 T / 4.</summary>
    private bool StandsOut(double amplitude, double frequencyHz, double span) =>
        0.25 * amplitude * amplitude * span > PeakThreshold * _spectrum.Background(frequencyHz);
}
