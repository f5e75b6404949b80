using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// Finds regular movements of fill between 0.01 and 5 Hz on unevenly timed readings, tells the machine cycle's own swing
/// from anything beside it, and names what it fits.
/// </summary>
/// <remarks>
/// Four windows of 16, 64, 256 and 1024 s each answer for the frequencies of which they hold about 10 to 48 periods
/// (the shortest for all above). Windows are looked at every 4, 8, 16 and 32 s, one after the other, and each look is spread
/// over the readings that follow, for 0.2 s at most. Between looks the last estimate stands. Formulas and sources:
/// docs/methods.
/// Memory: about 24 bytes a reading of the shortest window, 70 kB in all at 50 Hz. Nothing is allocated after
/// construction. Deterministic: the same readings give the same estimates. Not thread-safe.
/// </remarks>
public sealed class OscillationDetector
{
    /// <summary>Periods a window must hold before a movement is called an oscillation.</summary>
    public const double FewestPeriods = 10;

    private const double ShortestSpanSeconds = 16;
    private const double SpanRatio = 4;
    private const int WindowCount = 4;
    private const double HighestHz = 5;

    /// <summary>A window hands over to the next shorter one a little above where that one starts.</summary>
    private const double MostPeriods = 48;

    /// <summary>A tone that moves by no more than this share between looks is the same tone.</summary>
    private const double SameFrequency = 0.05;

    /// <summary>A look takes a step a reading; where readings come more slowly than this, several, s.</summary>
    private const double StepSeconds = 0.02;

    /// <summary>At least 2.5 readings a period.</summary>
    private const double HighestHzTimesPoll = 0.4;

    private readonly ReadingWindow[] _windows = new ReadingWindow[WindowCount];
    private readonly CycleRange _cycles;
    private readonly WindowFinding[] _findings = new WindowFinding[WindowCount];
    private readonly double[] _nextLook = new double[WindowCount];
    private readonly WindowAnalysis _analysis;
    private readonly AmplitudeTrack _track = new();
    private readonly AmplitudeTrack _cycleTrack = new();
    private readonly double _highestHz;
    private readonly double _storageMeters;
    private readonly double _smallestAmplitude;
    private readonly int _stepsPerReading;
    private OscillationEstimate _estimate;
    private double _seenCycleHz;
    private double _lastSeconds;
    private LookOrder _order;

    /// <param name="pollSeconds">Time between two readings when all goes well, s; 0.001 to 10.</param>
    /// <param name="storageMeters">Film stored between empty and full, m; NaN where not known. Sharpens the name of the rhythm.</param>
    /// <param name="smallestAmplitudePercent">Movements smaller than this, zero to peak, are no matter, % of fill.</param>
    /// <exception cref="ArgumentOutOfRangeException">A value is outside its range.</exception>
    public OscillationDetector(
        double pollSeconds,
        double storageMeters = double.NaN,
        double smallestAmplitudePercent = 0.2
    )
    {
        if (!(pollSeconds is >= 0.001 and <= 10))
            throw new ArgumentOutOfRangeException(
                nameof(pollSeconds),
                pollSeconds,
                "Allowed: 0.001 to 10 s between two readings. Try 0.02."
            );
        if (storageMeters <= 0)
            throw new ArgumentOutOfRangeException(
                nameof(storageMeters),
                storageMeters,
                "Allowed: above 0 m, or NaN where the storage is not known."
            );
        if (!(smallestAmplitudePercent >= 0))
            throw new ArgumentOutOfRangeException(
                nameof(smallestAmplitudePercent),
                smallestAmplitudePercent,
                "Allowed: 0 or more % of fill. Try 0.2."
            );
        _highestHz = Math.Min(HighestHz, HighestHzTimesPoll / pollSeconds);
        _storageMeters = storageMeters;
        _smallestAmplitude = smallestAmplitudePercent;
        _stepsPerReading = Math.Max(1, (int)(pollSeconds / StepSeconds));
        int capacity = 0;
        double span = ShortestSpanSeconds;
        for (int i = 0; i < WindowCount; i++, span *= SpanRatio)
        {
            _windows[i] = new(span, pollSeconds);
            capacity = Math.Max(capacity, _windows[i].Capacity);
        }
        _cycles = new CycleRange([.. _windows.Select(window => window.SpanSeconds)]);
        _analysis = new(capacity);
        Reset();
    }

    /// <summary>Forgets everything: another product, another roll, or readings that have nothing to do with those before.</summary>
    public void Reset()
    {
        _seenCycleHz = double.NaN;
        _track.Clear();
        _cycleTrack.Clear();
        Pause();
    }

    /// <summary>
    /// The machine left the running state: what follows starts new windows, since a stop breaks every phase. What is
    /// known of the cycle is kept.
    /// </summary>
    public void Pause()
    {
        for (int i = 0; i < WindowCount; i++)
        {
            _windows[i].Clear();
            _findings[i] = WindowFinding.Nothing(0);
            _nextLook[i] = double.NaN;
        }
        _cycles.Clear();
        _analysis.Abandon();
        _lastSeconds = double.NegativeInfinity;
        _estimate = OscillationEstimate.Nothing(Rhythm.NotEnoughData);
    }

    /// <summary>Takes the next reading of a running machine.</summary>
    /// <param name="seconds">Monotonic time, s; a reading not later than the one before is ignored.</param>
    /// <param name="fillPercent">Fill, %; a reading whose fill is not finite is ignored.</param>
    /// <param name="unwindMetersPerMinute">Unwind speed, m/min; NaN where not read.</param>
    /// <param name="cycleHz">Machine cycles a second; NaN where not known, then looked for.</param>
    /// <param name="turnHz">Roll turns a second; NaN where not known.</param>
    /// <returns>The estimate as of the last look; in place, overwritten by the next.</returns>
    public ref readonly OscillationEstimate Next(
        double seconds,
        double fillPercent,
        double unwindMetersPerMinute,
        double cycleHz,
        double turnHz
    )
    {
        if (!double.IsFinite(fillPercent) || !(seconds > _lastSeconds))
            return ref _estimate;
        _lastSeconds = seconds;
        foreach (ReadingWindow window in _windows)
            window.Add(seconds, fillPercent, unwindMetersPerMinute);
        _cycles.Add(seconds, cycleHz);
        if (double.IsNaN(_nextLook[0]))
            SetLooks(seconds);
        if (_analysis.IsLooking)
            GoOn();
        else if (Due(seconds) is >= 0 and int due)
            Look(due, cycleHz > 0 ? cycleHz : double.NaN, turnHz);
        return ref _estimate;
    }

    /// <summary>Carries its memory.</summary>
    internal void Keep(Ledger ledger)
    {
        ledger.Open("Osci"u8);
        for (int i = 0; i < WindowCount; i++)
        {
            _windows[i].Keep(ledger);
            _nextLook[i] = ledger.Seconds(_nextLook[i]);
        }
        _cycles.Keep(ledger);
        ledger.Keep(_findings.AsSpan());
        _track.Keep(ledger);
        _cycleTrack.Keep(ledger);
        _estimate = ledger.Keep(_estimate);
        _seenCycleHz = ledger.Keep(_seenCycleHz);
        _lastSeconds = ledger.Seconds(_lastSeconds);
    }

    /// <summary>4, 8, 16 and 32 s for windows of 16, 64, 256 and 1024 s.</summary>
    private static double LookEverySeconds(int window) => 4 << window;

    private void SetLooks(double seconds)
    {
        for (int i = 0; i < WindowCount; i++)
            _nextLook[i] = seconds + LookEverySeconds(i);
    }

    /// <summary>The window that is to be looked at, the shortest first; -1 where none is.</summary>
    private int Due(double seconds)
    {
        for (int i = 0; i < WindowCount; i++)
        {
            if (seconds >= _nextLook[i])
                return i;
        }
        return -1;
    }

    private void Look(int i, double cycleHz, double turnHz)
    {
        ReadingWindow window = _windows[i];
        // What was seen last is a better start than the tag, as long as they agree.
        bool tagIsNews = double.IsFinite(cycleHz) && !(Math.Abs(cycleHz - _seenCycleHz) < 0.02 * cycleHz);
        double expectedCycleHz = tagIsNews ? cycleHz : _seenCycleHz;
        _order = new LookOrder(i, _lastSeconds, expectedCycleHz, turnHz);
        double low = FewestPeriods / window.SpanSeconds * 0.999;
        double high = i == 0 ? _highestHz : Math.Min(_highestHz, MostPeriods / window.SpanSeconds);
        // Before it is full, a window looks at what it will answer for once it is.
        _analysis.Begin(window, 0.5 * low, high, expectedCycleHz, _smallestAmplitude);
        if (_stepsPerReading > 1)
            GoOn();
    }

    private void GoOn()
    {
        for (int step = 0; step < _stepsPerReading; step++)
        {
            if (!_analysis.Advance())
                continue;
            Conclude(_order.Window, _analysis.Finding);
            ref double next = ref _nextLook[_order.Window];
            next = Math.Max(next + LookEverySeconds(_order.Window), _order.Seconds);
            return;
        }
    }

    private void Conclude(int i, in WindowFinding finding)
    {
        _findings[i] = finding;
        if (double.IsNaN(_order.CycleHz) && IsPresumedCycle(finding, _order.TurnHz))
        {
            _seenCycleHz = finding.FrequencyHz;
            _findings[i] = finding with { FrequencyHz = double.NaN };
            return;
        }
        if (i == 0 && finding.CycleMultiple > 0)
            _seenCycleHz = finding.CycleHz;
        _estimate = Compose(looked: i, _order.CycleHz, _order.TurnHz);
    }

    private bool IsPresumedCycle(in WindowFinding finding, double turnHz) =>
        finding.HasTone
        && finding.Periods >= FewestPeriods
        && RhythmMatch.MayBeCycle(finding, UnwindShare(finding), turnHz);

    private OscillationEstimate Compose(int looked, double cycleHz, double turnHz)
    {
        int strongest = -1;
        int early = -1;
        int cycle = -1;
        double longest = 0;
        for (int i = 0; i < WindowCount; i++)
        {
            ref readonly WindowFinding finding = ref _findings[i];
            longest = Math.Max(longest, finding.SpanSeconds);
            // The shortest window with enough cycles; before that, the longest there is.
            if (
                double.IsFinite(finding.CycleSwing)
                && (cycle < 0 || _findings[cycle].CycleHz * _findings[cycle].SpanSeconds < FewestPeriods)
            )
                cycle = i;
            if (!finding.HasTone)
                continue;
            if (finding.Periods < FewestPeriods)
                early = Stronger(early, i);
            else if (finding.Regularity > 1)
                strongest = Stronger(strongest, i);
        }
        if (strongest < 0)
            _track.Clear();
        else if (strongest == looked)
            Follow(_findings[strongest]);
        OscillationEstimate estimate =
            strongest >= 0
                ? Describe(strongest, cycleHz, turnHz)
                : OscillationEstimate.Nothing(
                    longest == 0 || early >= 0 ? Rhythm.NotEnoughData : Rhythm.None
                );
        estimate = estimate with { LowestHz = longest > 0 ? FewestPeriods / longest : double.NaN };
        if (cycle < 0)
            return estimate;
        if (cycle == looked)
            FollowCycle(_findings[cycle]);
        return WithCycle(estimate, _findings[cycle]);
    }

    private void Follow(in WindowFinding tone)
    {
        double reach = Math.Max(SameFrequency * tone.FrequencyHz, 1 / tone.SpanSeconds);
        _track.Add(_order.Seconds, tone.Amplitude, tone.FrequencyHz, reach);
    }

    private void FollowCycle(in WindowFinding seen) =>
        _cycleTrack.Add(_order.Seconds, seen.CycleSwing, seen.CycleHz, SameFrequency * seen.CycleHz);

    private int Stronger(int held, int other)
    {
        if (held < 0)
            return other;
        // The same tone in two windows: the shorter one is more current.
        double apart = Math.Abs(_findings[held].FrequencyHz - _findings[other].FrequencyHz);
        return
            apart > 1 / _findings[held].SpanSeconds && _findings[other].Amplitude > _findings[held].Amplitude
            ? other
            : held;
    }

    private OscillationEstimate Describe(int window, double cycleHz, double turnHz)
    {
        ref readonly WindowFinding tone = ref _findings[window];
        double phase = Math.IEEERemainder(tone.UnwindLeadRadians * (180 / Math.PI), 360);
        double share = UnwindShare(tone);
        (double slowest, double fastest) = _cycles.At(window, _lastSeconds, cycleHz);
        (Rhythm rhythm, int multiple) = RhythmMatch.Name(tone, phase, share, slowest, fastest, turnHz);
        return new(
            tone.FrequencyHz,
            tone.FrequencySdHz,
            tone.Amplitude,
            tone.Regularity,
            tone.Periods,
            rhythm,
            multiple,
            phase,
            tone.UnwindAmplitude,
            _track.GrowthPerSecond,
            CycleSwingPercent: double.NaN,
            UnwindShare: share
        );
    }

    private OscillationEstimate WithCycle(OscillationEstimate estimate, in WindowFinding seen)
    {
        double growth = _cycleTrack.GrowthPerSecond;
        double periods = seen.CycleHz * seen.SpanSeconds;
        if (
            estimate.Rhythm == Rhythm.None
            && seen.CycleMultiple > 0
            && seen.CycleSwing >= 2 * _smallestAmplitude
            && periods >= FewestPeriods
        )
            estimate = estimate with
            {
                Rhythm = Rhythm.MachineCycle,
                Multiple = seen.CycleMultiple,
                FrequencyHz = seen.CycleMultiple * seen.CycleHz,
                AmplitudePercent = 0.5 * seen.CycleSwing,
                Periods = periods,
                GrowthPerSecond = growth,
            };
        return estimate with
        {
            CycleHz = seen.CycleHz,
            CycleSwingPercent = seen.CycleSwing,
            CycleSwingGrowthPerSecond = growth,
        };
    }

    /// <summary>Unwind speed's part in d(fill)/dt at the tone's frequency: Re(V / (j w F)) in equal units.</summary>
    private double UnwindShare(in WindowFinding tone)
    {
        double percentPerSecond = tone.UnwindAmplitude / 60 * 100 / _storageMeters;
        double needed = 2 * Math.PI * tone.FrequencyHz * tone.Amplitude;
        return percentPerSecond / needed * Math.Sin(tone.UnwindLeadRadians);
    }

    /// <summary>What the look under way was begun with.</summary>
    private readonly record struct LookOrder(int Window, double Seconds, double CycleHz, double TurnHz);
}
