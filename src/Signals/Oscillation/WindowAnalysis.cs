namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// One look at one window: takes the machine cycle out (folded), finds what else stands out of the background, and fits
/// it on the readings' own times. Cycle and tones are fitted in turns, each with the others taken out (RELAX: Li &amp;
/// Stoica 1996). Owns the scratch memory that all windows of a machine share.
/// </summary>
internal sealed class WindowAnalysis
{
    /// <summary>
    /// How far above the background a peak must stand. Noise passes z with e^-z at each of about 150 frequencies in all
    /// windows together; what is above that is room for the uncertainty of the background, found by simulation.
    /// </summary>
    public const double PeakThreshold = 16;

    /// <summary>Below this many periods in the window nothing is looked for.</summary>
    public const double FewestPeriodsSeen = 3;
    private const int FewestValues = 32;
    private const int MostTones = 2;

    /// <summary>The background is fitted this far beyond the frequencies looked at, so that its ends hold.</summary>
    private const double BackgroundReach = 1.6;

    /// <summary>A cycle can be folded where the window holds this many cycles, and each this many values.</summary>
    private const double FewestCycles = 4;
    private const double FewestValuesPerCycle = 5;

    /// <summary>The cycle may run this far off the rate given, as a share.</summary>
    private const double CycleReach = 0.02;
    private const double OvertoneShare = 0.04;

    private readonly Spectrum _spectrum = new();
    private readonly CycleShape _cycle = new();
    private readonly Tone[] _tones = new Tone[MostTones];
    private readonly double[] _secondsOf;
    private readonly double[] _fillOf;
    private readonly double[] _residualOf;
    private readonly double[] _speedOf;
    private readonly double[] _speedSecondsOf;
    private int _count;
    private double _span;

    /// <param name="capacity">Most values a window holds.</param>
    public WindowAnalysis(int capacity)
    {
        _secondsOf = new double[capacity];
        _fillOf = new double[capacity];
        _residualOf = new double[capacity];
        _speedOf = new double[capacity];
        _speedSecondsOf = new double[capacity];
    }

    private ReadOnlySpan<double> Seconds => _secondsOf.AsSpan(0, _count);

    /// <summary>Fill without trend; once a tone was found, without the tones.</summary>
    private Span<double> Fill => _fillOf.AsSpan(0, _count);

    /// <summary>Fill without trend, cycle and tones, as far as they are known.</summary>
    private Span<double> Residual => _residualOf.AsSpan(0, _count);

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
        _count = window.CopyTo(_secondsOf, _fillOf, _speedOf, out _);
        if (_count < FewestValues)
            return WindowFinding.Nothing(0);
        _span = Seconds[^1] - Seconds[0];
        RemoveTrend(Seconds, Fill);
        FoldCycle(cycleHz);

        WindowFinding finding = WindowFinding.Nothing(_span);
        int tones = 0;
        double lowest = Math.Max(lowHz, FewestPeriodsSeen / _span);
        if (lowest < highHz)
        {
            _spectrum.Compute(Seconds, Residual, window.BinSeconds, BackgroundReach * highHz);
            _spectrum.FitBackground(lowest / BackgroundReach, BackgroundReach * highHz, _cycle.FrequencyHz);
            Span<Peak> peaks = stackalloc Peak[MostTones];
            int found = _spectrum.FindPeaks(
                lowest,
                highHz,
                _cycle.FrequencyHz,
                PeakThreshold,
                smallestAmplitude,
                peaks
            );
            tones = FitTones(peaks[..found]);
            finding = finding with { CycleMultiple = CycleMultiple() };
        }
        finding = finding with { CycleHz = _cycle.FrequencyHz, CycleSwing = _cycle.Swing };
        if (tones == 0 || _tones[0].Amplitude < smallestAmplitude)
            return finding;
        return Describe(finding, _tones[0], window) with
        {
            HasOvertones =
                double.IsNaN(cycleHz) && HasOvertones(_tones[0], tones > 1 ? _tones[1] : Tone.None),
        };
    }

    private WindowFinding Describe(in WindowFinding finding, in Tone tone, ReadingWindow window)
    {
        double frequency = tone.FrequencyHz;
        // Cramer-Rao bound with the noise's density at this frequency: var f = 6 S / (pi^2 A^2 T^3).
        double noise = _spectrum.Background.At(frequency);
        double sd = Math.Sqrt(6 * noise / (_span * _span * _span)) / (Math.PI * tone.Amplitude);
        Tone unwind = FitUnwind(frequency);
        bool unwindIsKnown = double.IsFinite(unwind.FrequencyHz);
        double gain = window.Gain(frequency);
        return finding with
        {
            FrequencyHz = frequency,
            FrequencySdHz = sd,
            Amplitude = tone.Amplitude / gain,
            Regularity = Regularity.Of(_spectrum, frequency, window.BinSeconds, _span),
            UnwindAmplitude = unwindIsKnown ? unwind.Amplitude / gain : double.NaN,
            UnwindLeadRadians = unwindIsKnown ? unwind.LeadRadians - tone.LeadRadians : double.NaN,
        };
    }

    /// <summary>Fits the cycle to fill and leaves the rest in the residual; all of it where there is no cycle to fold.</summary>
    private void FoldCycle(double cycleHz)
    {
        double values = (_count - 1) / (_span * cycleHz);
        if (cycleHz * _span >= FewestCycles && values >= FewestValuesPerCycle)
        {
            double reach = Math.Max(0.5 / _span, CycleReach * cycleHz);
            double seen = ToneFit.Refine(Seconds, Fill, cycleHz, _span).FrequencyHz;
            if (_cycle.Fold(Seconds, Fill, Math.Abs(seen - cycleHz) <= reach ? seen : cycleHz))
            {
                _cycle.Subtract(Seconds, Fill, Residual);
                return;
            }
        }
        _cycle.Forget();
        Fill.CopyTo(Residual);
    }

    /// <summary>Fits each peak, then cycle and tones once more without each other. The strongest tone comes first.</summary>
    private int FitTones(ReadOnlySpan<Peak> peaks)
    {
        int tones = 0;
        foreach (Peak peak in peaks)
        {
            Tone tone = ToneFit.Refine(Seconds, Residual, peak.FrequencyHz, _span);
            if (double.IsNaN(tone.FrequencyHz))
                continue;
            ToneFit.Subtract(Seconds, Residual, tone);
            _tones[tones++] = tone;
        }
        if (tones == 0 || (tones == 1 && !_cycle.IsKnown))
            return tones;

        for (int i = 0; i < tones && _cycle.IsKnown; i++)
            ToneFit.Subtract(Seconds, Fill, _tones[i]);
        if (_cycle.IsKnown)
            FoldCycle(_cycle.FrequencyHz);
        for (int i = 0; i < tones; i++)
        {
            ToneFit.Subtract(Seconds, Residual, _tones[i], sign: -1);
            Tone again = ToneFit.Refine(Seconds, Residual, _tones[i].FrequencyHz, _span);
            _tones[i] = double.IsNaN(again.FrequencyHz) ? _tones[i] : again;
            ToneFit.Subtract(Seconds, Residual, _tones[i]);
        }
        if (tones == 2 && _tones[1].Amplitude > _tones[0].Amplitude)
            (_tones[0], _tones[1]) = (_tones[1], _tones[0]);
        return tones;
    }

    /// <summary>Unwind speed at a frequency; <see cref="Tone.None"/> where more than a fifth of it was not read.</summary>
    private Tone FitUnwind(double frequencyHz)
    {
        int kept = 0;
        for (int i = 0; i < _count; i++)
        {
            if (!double.IsFinite(_speedOf[i]))
                continue;
            _speedOf[kept] = _speedOf[i];
            _speedSecondsOf[kept++] = _secondsOf[i];
        }
        if (kept < 0.8 * _count)
            return Tone.None;
        Span<double> speed = _speedOf.AsSpan(0, kept);
        RemoveTrend(_speedSecondsOf.AsSpan(0, kept), speed);
        return ToneFit.At(_speedSecondsOf.AsSpan(0, kept), speed, frequencyHz);
    }

    private int CycleMultiple()
    {
        if (!_cycle.IsKnown)
            return 0;
        (int multiple, double amplitude) = _cycle.StrongestHarmonic();
        return StandsOut(amplitude, multiple * _cycle.FrequencyHz) ? multiple : 0;
    }

    /// <summary>Overtones may still be in the residual, or have been fitted as the other tone.</summary>
    private bool HasOvertones(in Tone tone, in Tone other)
    {
        for (int multiple = 2; multiple <= 3; multiple++)
        {
            double frequency = multiple * tone.FrequencyHz;
            double overtone =
                Math.Abs(other.FrequencyHz - frequency) < 0.5 / _span
                    ? other.Amplitude
                    : ToneFit.At(Seconds, Residual, frequency).Amplitude;
            if (overtone > OvertoneShare * tone.Amplitude && StandsOut(overtone, frequency))
                return true;
        }
        return false;
    }

    /// <summary>A tone of amplitude A has a density of A^2 T / 4.</summary>
    private bool StandsOut(double amplitude, double frequencyHz) =>
        0.25 * amplitude * amplitude * _span > PeakThreshold * _spectrum.Background.At(frequencyHz);

    private static void RemoveTrend(ReadOnlySpan<double> seconds, Span<double> values)
    {
        LineFit line = LineFit.Of(seconds, values);
        for (int i = 0; i < values.Length; i++)
            values[i] -= line.Start + line.Slope * seconds[i];
    }
}
