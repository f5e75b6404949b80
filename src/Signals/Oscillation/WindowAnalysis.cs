namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// One look at one window: takes the machine cycle out (folded), finds what else stands out of the background, and fits
/// it on the readings' own times. Cycle and tones are fitted in turns, each with the others taken out (RELAX: Li &amp;
/// Stoica 1996). The work is cut into up to nine steps, so that no single reading pays for all of it: at most 30 us instead
/// of 120. Owns the scratch memory that all windows of a machine share.
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
    private readonly CycleShape _cycle;
    private readonly Tone[] _tones = new Tone[MostTones];
    private readonly double[] _secondsOf;
    private readonly double[] _fillOf;
    private readonly double[] _residualOf;
    private readonly double[] _speedOf;
    private readonly double[] _speedSecondsOf;
    private readonly Peak[] _peaks = new Peak[MostTones];
    private ReadingWindow? _window;
    private double _lowHz;
    private double _highHz;
    private double _cycleHz;
    private double _smallestAmplitude;
    private int _count;
    private double _span;
    private int _found;
    private int _next;
    private int _kept;
    private bool _isSearched;
    private Step _step;

    private enum Step
    {
        None,
        Fold,
        Search,
        Fit,
        FoldAgain,
        FitAgain,
        Describe,
        Done,
    }

    /// <param name="capacity">Most values a window holds.</param>
    public WindowAnalysis(int capacity)
    {
        _cycle = new CycleShape(capacity);
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

    /// <summary>A look is under way.</summary>
    public bool IsLooking => _step != Step.None;

    /// <summary>What the last look found.</summary>
    public WindowFinding Finding { get; private set; }

    /// <summary>Begins a look. The window is copied: readings may go on coming.</summary>
    /// <param name="window">The readings.</param>
    /// <param name="lowHz">Lowest frequency this window answers for, Hz.</param>
    /// <param name="highHz">Highest, Hz.</param>
    /// <param name="cycleHz">The cycle's rate as known, Hz; NaN where unknown.</param>
    /// <param name="smallestAmplitude">Tones smaller than this are passed over, % of fill.</param>
    public void Begin(
        ReadingWindow window,
        double lowHz,
        double highHz,
        double cycleHz,
        double smallestAmplitude
    )
    {
        _window = window;
        (_lowHz, _highHz, _cycleHz, _smallestAmplitude) = (lowHz, highHz, cycleHz, smallestAmplitude);
        _found = _next = _kept = 0;
        _isSearched = false;
        _count = window.CopyTo(_secondsOf, _fillOf, _speedOf, out _);
        if (_count < FewestValues)
        {
            Finding = WindowFinding.Nothing(0);
            _step = Step.Done;
            return;
        }
        _span = Seconds[^1] - Seconds[0];
        LineFit.TakeFrom(Fill, Seconds);
        _step = Step.Fold;
    }

    /// <summary>Does the next step of the look under way.</summary>
    /// <returns>True where that ended it: <see cref="Finding"/> stands.</returns>
    public bool Advance()
    {
        _step = _step switch
        {
            Step.Fold => FoldFirst(),
            Step.Search => Search(),
            Step.Fit => Fit(),
            Step.FoldAgain => FoldAgain(),
            Step.FitAgain => FitAgain(),
            Step.Describe => Describe(),
            _ => Step.Done,
        };
        if (_step != Step.Done)
            return false;
        _step = Step.None;
        return true;
    }

    /// <summary>The look under way is of no use any more.</summary>
    public void Abandon() => _step = Step.None;

    private Step FoldFirst()
    {
        FoldCycle(_cycleHz);
        return Step.Search;
    }

    private Step Search()
    {
        double lowest = Math.Max(_lowHz, FewestPeriodsSeen / _span);
        if (lowest >= _highHz)
            return Step.Describe;
        _isSearched = true;
        _spectrum.Compute(Seconds, Residual, _window!.BinSeconds, BackgroundReach * _highHz);
        _spectrum.FitBackground(lowest / BackgroundReach, BackgroundReach * _highHz, _cycle.FrequencyHz);
        _found = _spectrum.FindPeaks(
            lowest,
            _highHz,
            _cycle.FrequencyHz,
            PeakThreshold,
            _smallestAmplitude,
            _peaks
        );
        return _found > 0 ? Step.Fit : Step.Describe;
    }

    /// <summary>Fits the next peak.</summary>
    private Step Fit()
    {
        Tone tone = ToneFit.Refine(Seconds, Residual, _peaks[_next].FrequencyHz, _span);
        if (!double.IsNaN(tone.FrequencyHz))
        {
            ToneFit.Subtract(Seconds, Residual, tone);
            _tones[_kept++] = tone;
        }
        if (++_next < _found)
            return Step.Fit;
        _next = 0;
        return _kept == 0 || (_kept == 1 && !_cycle.IsKnown) ? Step.Describe : Step.FoldAgain;
    }

    /// <summary>Fits the cycle once more, without the tones.</summary>
    private Step FoldAgain()
    {
        for (int i = 0; i < _kept && _cycle.IsKnown; i++)
            ToneFit.Subtract(Seconds, Fill, _tones[i]);
        if (_cycle.IsKnown)
            FoldCycle(_cycle.FrequencyHz);
        return Step.FitAgain;
    }

    /// <summary>Fits the next tone once more, without the others. The strongest comes first at the end.</summary>
    private Step FitAgain()
    {
        ref Tone tone = ref _tones[_next];
        ToneFit.Subtract(Seconds, Residual, tone, sign: -1);
        Tone again = ToneFit.Refine(Seconds, Residual, tone.FrequencyHz, _span);
        tone = double.IsNaN(again.FrequencyHz) ? tone : again;
        ToneFit.Subtract(Seconds, Residual, tone);
        if (++_next < _kept)
            return Step.FitAgain;
        if (_kept == 2 && _tones[1].Amplitude > _tones[0].Amplitude)
            (_tones[0], _tones[1]) = (_tones[1], _tones[0]);
        return Step.Describe;
    }

    private Step Describe()
    {
        WindowFinding finding = WindowFinding.Nothing(_span) with
        {
            CycleMultiple = _isSearched ? CycleMultiple() : 0,
            CycleHz = _cycle.FrequencyHz,
            CycleSwing = _cycle.Swing,
        };
        Finding =
            _kept == 0 || _tones[0].Amplitude < _smallestAmplitude
                ? finding
                : Describe(finding, _tones[0], _window!) with
                {
                    HasOvertones =
                        double.IsNaN(_cycleHz) && HasOvertones(_tones[0], _kept > 1 ? _tones[1] : Tone.None),
                };
        return Step.Done;
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
                _cycle.Subtract(Fill, Residual);
                return;
            }
        }
        _cycle.Forget();
        Fill.CopyTo(Residual);
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
        LineFit.TakeFrom(speed, _speedSecondsOf.AsSpan(0, kept));
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
}
